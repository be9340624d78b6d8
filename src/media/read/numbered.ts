/**
 * Numbers in the names of pictures, and when they count frames.
 *
 * A number that stands behind a dot, or has four digits or more, is a frame's (`smoke.12.png`, `smoke_0012.png`): two in a row
 * are a sequence. Any other may as well count drawings or takes (`muzzle_01.png`, `dwa0.exr`), and the four digits of a JPEG
 * a camera's photos (`IMG_0012.jpg`): only eight in a row are a sequence, fewer are single pictures. A choice, after how
 * frames, packs of stills and photos (JEITA CP-3461, DCF) are commonly numbered.
 */
import { extname } from 'node:path'

const pictures = new Set(['.png', '.tif', '.tiff', '.exr', '.dpx', '.jpg', '.jpeg'])

export function isPictureName(name: string): boolean {
  return pictures.has(extname(name).toLowerCase())
}

/** A name around its last number. */
export interface NumberedName {
  readonly before: string
  readonly digits: string
  readonly ending: string
}

/** `undefined` when no number stands before the ending. */
export function numberedName(name: string): NumberedName | undefined {
  const [, before, digits, ending] = /^(.*?)(\d+)(\.[^.]+)$/.exec(name) ?? []
  if (before === undefined || digits === undefined || ending === undefined) return undefined
  return { before, digits, ending }
}

/** How many in a row make a sequence of names like this one. */
export function leastRun({ before, digits, ending }: NumberedName): number {
  const photo = /^\.jpe?g$/i.test(ending)
  return before.endsWith('.') || (digits.length >= 4 && !photo) ? 2 : 8
}

/** `smoke.####.png` for names that are numbered like this one; one `#` for numbers without leading zeros. */
export function patternOf({ before, digits, ending }: NumberedName, padded = digits.startsWith('0')): string {
  return `${before}${padded ? '#'.repeat(digits.length) : '#'}${ending}`
}

export interface Series {
  readonly names: readonly string[]
  /** `smoke.####.exr` of a sequence; `undefined` of single pictures. */
  readonly pattern: string | undefined
}

/** The pictures among names of one folder, each sequence and each set of single ones by itself, in the names' order. */
export function seriesOf(names: readonly string[]): Series[] {
  const families = new Map<string, string[]>()
  for (const name of names) {
    if (!isPictureName(name)) continue
    const own = numberedName(name)
    const key = own === undefined ? name : patternOf(own)
    const family = families.get(key)
    if (family === undefined) families.set(key, [name])
    else family.push(name)
  }
  return joined(families).map(([pattern, members]) => {
    const own = numberedName(members[0] as string)
    const enough = own !== undefined && members.length >= leastRun(own)
    return { names: members, pattern: enough ? pattern : undefined }
  })
}

/** `a_09` and `a_10` are one family: numbers without a leading 0 join the padded ones of their length. */
function joined(families: ReadonlyMap<string, readonly string[]>): [string, readonly string[]][] {
  const out = new Map<string, readonly string[]>()
  const stem = (pattern: string) => pattern.replace(/#+(?=\.[^.]+$)/, '')
  const padded = new Map<string, string>()
  for (const k of families.keys()) if (/##+\.[^.]+$/.test(k) && !padded.has(stem(k))) padded.set(stem(k), k)
  for (const [pattern, members] of families) {
    const home = (/(?<!#)#\.[^.]+$/.test(pattern) ? padded.get(stem(pattern)) : undefined) ?? pattern
    out.set(home, [...(out.get(home) ?? []), ...members])
  }
  return [...out]
}
