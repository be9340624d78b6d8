/** What was made of a shot: files beside its document whose names hold its name and a version that only rises. */
import { readdir } from 'node:fs/promises'
import { basename, join } from 'node:path'
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
    const name = ending === undefined ? `${entry.name}/${entry.name}.####` : entry.name
    found.push({ name, kind, version: Number(digits) })
  }
  return found.sort((a, b) => b.version - a.version || a.kind.localeCompare(b.kind, 'en') * -1)
}

/** Where the next render goes. */
export async function nextRender(document: string, folder: string, format: DeliveryFormat): Promise<string> {
  const version = 1 + Math.max(0, ...(await madeOf(document, folder)).map((m) => m.version))
  const name = `${stemOf(document)}-v${String(version).padStart(3, '0')}`
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

/** The report on a render: its name with another ending, beside the document. */
export function reportOf(rendered: string, folder: string): string {
  return join(folder, `${basename(rendered).replace(/(\.#+)?\.[^.]+$/, '')}.html`)
}
