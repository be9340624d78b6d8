/** Folders of lens profiles: which lenses they hold by name. */
import { readdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { Problem } from '../../core/index.js'
import { type PublishedLens, profilesIn } from './profileXml.js'

/** Where Debian's package `liblensfun-data-v1` puts them. */
export const PROFILES = '/usr/share/lensfun/version_1'

export interface FoundProfile extends PublishedLens {
  readonly file: string
}

/**
 * Lenses whose maker and model hold every one of the words, in the order of their names; one that is called just so stands alone.
 *
 * @throws Problem `lens.no-profiles`, or as `profilesIn`
 */
export async function findProfiles(
  words: readonly string[],
  folder: string = PROFILES,
): Promise<FoundProfile[]> {
  const wanted = words.flatMap((w) => w.toLowerCase().split(/\s+/)).filter((w) => w !== '')
  const has = (text: string) => wanted.every((w) => text.includes(w))
  const found: FoundProfile[] = []
  for (const name of await filesOf(folder)) {
    const file = join(folder, name)
    const text = await readFile(file, 'utf8')
    // Most files hold none of the words, and reading XML takes its time.
    if (!has(unescaped(text.toLowerCase()))) continue
    found.push(...profilesIn(text, file).map((p) => ({ ...p, file })))
  }
  const named = found.filter((p) => has(nameOf(p).toLowerCase())).toSorted(byName)
  const just = wanted.join(' ')
  const exact = named.filter((p) => [p.model, nameOf(p)].some((n) => n.toLowerCase() === just))
  return exact.length > 0 ? exact : named
}

function unescaped(text: string): string {
  return text.replaceAll('&amp;', '&')
}

/** Maker and model; most models name their maker already. */
export function nameOf({ maker, model }: Pick<PublishedLens, 'maker' | 'model'>): string {
  return model.toLowerCase().startsWith(maker.toLowerCase()) ? model : `${maker} ${model}`
}

function byName(a: PublishedLens, b: PublishedLens): number {
  const [x, y] = [nameOf(a), nameOf(b)]
  return x === y ? a.cropFactor - b.cropFactor : x < y ? -1 : 1
}

async function filesOf(folder: string): Promise<string[]> {
  const names = await readdir(folder).catch((e: NodeJS.ErrnoException) => e)
  const xml = Array.isArray(names) ? names.filter((n) => n.toLowerCase().endsWith('.xml')).toSorted() : []
  if (xml.length > 0) return xml
  throw new Problem({
    code: 'lens.no-profiles',
    what: 'No lens profiles are here',
    where: folder,
    expected: 'a folder of XML files such as those of Debian’s package liblensfun-data-v1',
    received: Array.isArray(names) ? `${names.length} files, none of them .xml` : names.message,
    remedy: 'Install the package, or name another folder with --folder.',
  })
}
