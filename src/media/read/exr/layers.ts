/**
 * Which channels of an OpenEXR file make a picture. A layer is what stands before the last dot of a channel's name; the
 * main layer has none, and is called `main`. Source: [openexr-layout] (channel names), [openexr-attributes].
 *
 * Names that a person can give: a layer (`beauty`) or a channel (`Z`, `beauty.R`) of the first part; `PART`,
 * `PART/LAYER` or `PART/CHANNEL` of any.
 */
import { Problem } from '../../../core/index.js'
import type { ExrHeader, ExrPart } from './header.js'

export interface ExrLayer {
  readonly name: string
  /** What is read when none is named: channels of the first part without a dot. */
  readonly main: boolean
  readonly part: number
  /** Channels for R, G, B (and A), or one for all three (and A). */
  readonly channels: readonly string[]
  readonly kind: 'rgb' | 'grey' | 'luma-chroma'
}

const MAIN = 'main'

/** Whole pictures first, in the file's order, then single channels. */
export function layersOf(h: ExrHeader): ExrLayer[] {
  const pictures: ExrLayer[] = []
  // Where a layer is called so itself, the main one is had by naming none.
  const main = h.parts[0]?.channels.some((c) => /^main(\.[^.]+)?$/.test(c.name)) === true ? '' : MAIN
  const single: ExrLayer[] = []
  for (const [part, p] of h.parts.entries()) {
    const groups = new Map<string, string[]>()
    for (const { name } of p.channels) {
      const layer = name.slice(0, Math.max(0, name.lastIndexOf('.')))
      groups.set(layer, [...(groups.get(layer) ?? []), name])
      single.push({ name: within(p, part, name), part, main: false, channels: [name], kind: 'grey' })
    }
    for (const [layer, names] of groups) {
      const found = pictureOf(layer, names)
      const name = within(p, part, layer) || main
      if (found !== undefined) pictures.push({ name, part, main: part === 0 && layer === '', ...found })
    }
  }
  return [...pictures, ...single]
}

function within(p: ExrPart, part: number, name: string): string {
  if (part === 0) return name
  return `${p.name ?? part}${name === '' ? '' : `/${name}`}`
}

function pictureOf(layer: string, names: readonly string[]): Pick<ExrLayer, 'channels' | 'kind'> | undefined {
  const own = (c: string) => (layer === '' ? c : `${layer}.${c}`)
  const has = (...list: string[]) => list.every((c) => names.includes(own(c)))
  const alpha = has('A') ? ['A'] : []
  if (has('R', 'G', 'B')) return { channels: ['R', 'G', 'B', ...alpha].map(own), kind: 'rgb' }
  if (has('Y', 'RY', 'BY')) return { channels: ['Y', 'RY', 'BY', ...alpha].map(own), kind: 'luma-chroma' }
  return has('Y') ? { channels: ['Y', ...alpha].map(own), kind: 'grey' } : undefined
}

/** Where a person names a layer. */
export const HOW = '`layer` in a shot document, `--layer` in `diagnose`'

/** The layer of that name, or the main one. @throws Problem `media.exr-no-layer`, `media.exr-no-colour` */
export function chooseLayer(h: ExrHeader, wanted: string | undefined, where: string): ExrLayer {
  const all = layersOf(h)
  const first = h.parts[0] as ExrPart
  const isWanted = (l: ExrLayer) =>
    l.name === wanted ||
    (l.part === 0 && first.name !== undefined && wanted === within(first, 1, l.main ? '' : l.name))
  const found = all.find(wanted === undefined ? (l) => l.main : isWanted)
  if (found !== undefined) return found
  const names = all.map((l) => l.name).filter((name) => name !== '')
  const shown = names.slice(0, 24).join(', ')
  const expected = names.length > 24 ? `${shown} and ${names.length - 24} more` : shown
  if (wanted !== undefined) {
    throw new Problem({
      code: 'media.exr-no-layer',
      what: 'This OpenEXR file has no layer, channel or part of that name',
      where,
      expected,
      received: wanted,
      remedy: 'Name one of these.',
    })
  }
  throw new Problem({
    code: 'media.exr-no-colour',
    what: 'This OpenEXR file holds no picture in its main layer',
    where,
    expected: 'channels R, G, B or Y',
    received: `channels ${first.channels.map((c) => c.name).join(', ')}`,
    remedy: `Name the layer or channel to read (${HOW}): ${expected}.`,
  })
}
