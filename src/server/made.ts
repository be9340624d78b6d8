/** What was made of a shot: files beside its document whose names hold its name and a version that only rises. */
import { readdir } from 'node:fs/promises'
import { basename, extname, join } from 'node:path'
import type { DeliveryFormat } from '../media/index.js'

export interface Made {
  readonly name: string
  readonly kind: 'render' | 'report'
  readonly version: number
}

const stemOf = (document: string) => basename(document).replace(/\.shot\.json$/, '')

/** Newest first, a version's report before its render. */
export async function madeOf(document: string, folder: string): Promise<Made[]> {
  const start = `${stemOf(document)}-v`
  const found: Made[] = []
  for (const entry of await readdir(folder, { withFileTypes: true }).catch(() => [])) {
    if (!entry.name.startsWith(start)) continue
    const [, digits, ending] =
      /^(\d{3,})(\.mov|\.mp4|\.mxf|\.html)?$/.exec(entry.name.slice(start.length)) ?? []
    if (digits === undefined || (ending === undefined) !== entry.isDirectory()) continue
    const kind = ending === '.html' ? 'report' : 'render'
    const name = ending === undefined ? await sequenceIn(folder, entry.name) : entry.name
    if (name !== undefined) found.push({ name, kind, version: Number(digits) })
  }
  return found.sort((a, b) => b.version - a.version || a.kind.localeCompare(b.kind, 'en') * -1)
}

/** `shore-v002/shore-v002.####.exr`; undefined while there is none. */
async function sequenceIn(folder: string, name: string): Promise<string | undefined> {
  const [picture] = (await readdir(join(folder, name))).filter((f) => /\.(exr|png)$/.test(f))
  return picture && `${name}/${name}.####${extname(picture)}`
}

/** A name that nothing has: whatever begins with a version, be it a link, takes that version. */
async function nextName(document: string, folder: string): Promise<string> {
  const start = `${stemOf(document)}-v`
  const taken = (await readdir(folder)).filter((name) => name.startsWith(start))
  const version =
    1 + Math.max(0, ...taken.map((name) => Number(/^\d{3,}/.exec(name.slice(start.length))?.[0] ?? 0)))
  return versioned(document, version)
}

function versioned(document: string, version: number): string {
  return `${stemOf(document)}-v${String(version).padStart(3, '0')}`
}

/** Where the next render goes. */
export async function nextRender(document: string, folder: string, format: DeliveryFormat): Promise<string> {
  const name = await nextName(document, folder)
  switch (format) {
    case 'exr-half':
      return join(folder, name, `${name}.####.exr`)
    case 'png-16':
      return join(folder, name, `${name}.####.png`)
    case 'h264-preview':
      return join(folder, `${name}.mp4`)
    default:
      return join(folder, `${name}.mov`)
  }
}

/** Where the report on a render goes: one of the shot's own gets its name, and again; on another file, a name that is free. */
export async function nextReport(document: string, folder: string, rendered: string): Promise<string> {
  const own = (await madeOf(document, folder)).find(
    ({ kind, name }) => kind === 'render' && rendered.startsWith(join(folder, name)),
  )
  const name = own === undefined ? await nextName(document, folder) : versioned(document, own.version)
  return join(folder, `${name}.html`)
}
