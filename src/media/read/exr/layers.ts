/**
 * Which channels of an OpenEXR file make a picture. A layer is what stands before the last dot of a channel's name; the
 * main layer has no dot. Source: [openexr-layout] (channel names), [openexr-attributes].
 *
 * Names that a person can give: a layer (`beauty`) or a channel (`Z`, `beauty.R`) of the first part; `PART`,
 * `PART/LAYER` or `PART/CHANNEL` of any.
 */
import { Problem } from '../../../core/index.js'
import type { ExrHeader, ExrPart } from './header.js'

export interface ExrLayer {
  /** Empty for the main layer of the first part. */
  readonly name: string
  readonly part: number
  /** Channels for R, G, B (and A), or one for all three (and A). */
  readonly channels: readonly string[]
  readonly kind: 'rgb' | 'grey' | 'luma-chroma'
}

/** Whole pictures first, in the file's order, then single channels. */
export function layersOf(h: ExrHeader): ExrLayer[] {
  const pictures: ExrLayer[] = []
  const single: ExrLayer[] = []
  for (const [part, p] of h.parts.entries()) {
    const groups = new Map<string, string[]>()
    for (const { name } of p.channels) {
      const layer = name.slice(0, Math.max(0, name.lastIndexOf('.')))
      groups.set(layer, [...(groups.get(layer) ?? []), name])
      single.push({ name: within(p, part, name), part, channels: [name], kind: 'grey' })
    }
    for (const [layer, names] of groups) {
      const found = pictureOf(layer, names)
      if (found !== undefined) pictures.push({ name: within(p, part, layer), part, ...found })
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

/** The layer of that name, or the main one. @throws Problem `media.exr-no-layer`, `media.exr-no-colour` */
export function chooseLayer(h: ExrHeader, wanted: string | undefined, where: string): ExrLayer {
  const all = layersOf(h)
  const first = h.parts[0] as ExrPart
  const isWanted = (l: ExrLayer) =>
    l.name === wanted || (l.part === 0 && first.name !== undefined && wanted === within(first, 1, l.name))
  const found = all.find(wanted === undefined ? (l) => l.name === '' : isWanted)
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
    remedy: `Name the layer or channel to read (\`layer\` in a shot document): ${expected}.`,
  })
}
