/** Refuses OpenEXR pictures that cannot be read exactly, each with its reason; names what is passed over. */
import { Problem } from '../../../core/index.js'
import type { ExrHeader, ExrPart } from './header.js'
import { type ExrLayer, layersOf } from './layers.js'

/** @throws Problem `media.exr-deep`, `media.exr-subsampled-chroma`, `media.exr-mixed-types` */
export function guardExr(h: ExrHeader, layer: ExrLayer, where: string): void {
  const part = h.parts[layer.part] as ExrPart
  const received = `channels ${part.channels.map((c) => c.name).join(', ')}`
  if (part.deep) {
    throw new Problem({
      code: 'media.exr-deep',
      what: 'This OpenEXR picture holds deep samples',
      where,
      expected: 'one sample a pixel',
      received,
      remedy: 'Flatten it to one sample a pixel.',
    })
  }
  if (layer.kind === 'luma-chroma' || part.channels.some((c) => c.stepX !== 1 || c.stepY !== 1)) {
    throw new Problem({
      code: 'media.exr-subsampled-chroma',
      what: 'This OpenEXR file stores luminance and subsampled chroma',
      where,
      expected: 'channels R, G, B (and A) at full resolution',
      received,
      remedy: 'Write it again as RGB.',
    })
  }
  const used = part.channels.filter((c) => layer.channels.includes(c.name))
  if (used.some((c) => c.type === 'uint') || new Set(used.map((c) => c.type)).size > 1) {
    throw new Problem({
      code: 'media.exr-mixed-types',
      what: 'The channels are integers or of several types',
      where,
      expected: 'all half or all float',
      received: used.map((c) => `${c.name} ${c.type}`).join(', '),
      remedy: 'Write it again with one type.',
    })
  }
}

export function exrFindings(h: ExrHeader, layer: ExrLayer, where: string): Problem[] {
  const part = h.parts[layer.part] as ExrPart
  const unused = part.channels.map((c) => c.name).filter((n) => !layer.channels.includes(n))
  const others = layersOf(h).filter((l) => l.name !== layer.name && l.kind !== 'grey')
  const choices = others.map((l) => l.name || '(main)').slice(0, 12)
  const remedy =
    choices.length === 0
      ? {}
      : { remedy: `Name another \`layer\` if you mean one of: ${choices.join(', ')}.` }
  const out: Problem[] = []
  if (unused.length > 0) {
    out.push(
      new Problem({
        code: 'media.exr-channels-unused',
        what: 'Some channels are passed over',
        where,
        received: unused.slice(0, 12).join(', '),
        ...remedy,
      }),
    )
  }
  if (h.parts.length > 1) {
    out.push(
      new Problem({
        code: 'media.exr-parts-unused',
        what: 'One part of the file is read',
        where,
        received: `part ${layer.part + 1} of ${h.parts.length}${part.name === undefined ? '' : `, ${part.name}`}`,
        ...remedy,
      }),
    )
  }
  return out
}
