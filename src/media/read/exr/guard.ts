/** Refuses OpenEXR pictures that cannot be read exactly, each with its reason; names what is passed over. */
import { Problem } from '../../../core/index.js'
import type { ExrChannel } from './attributes.js'
import type { ExrHeader, ExrPart } from './header.js'
import { type ExrLayer, HOW, layersOf } from './layers.js'
import { isSampled } from './sampled.js'

/** Why the layer cannot be read: `media.exr-deep`, `media.exr-subsampled`, `media.exr-integers`. */
export function refusal(h: ExrHeader, layer: ExrLayer, where: string): Problem | undefined {
  const part = h.parts[layer.part] as ExrPart
  if (part.deep) {
    return new Problem({
      code: 'media.exr-deep',
      what: 'This OpenEXR picture holds deep samples',
      where,
      expected: 'one sample a pixel',
      received: `channels ${part.channels.map((c) => c.name).join(', ')}`,
      remedy: 'Flatten it to one sample a pixel.',
    })
  }
  const used = layer.channels.map((name) => part.channels.find((c) => c.name === name) as ExrChannel)
  if (!sizesFit(used, layer.kind)) {
    return new Problem({
      code: 'media.exr-subsampled',
      what: 'The channels to read have fewer samples than the picture has pixels',
      where,
      expected: 'a sample for every pixel; only chroma (RY, BY) may have one for 2×2',
      received: used.map(({ name, stepX, stepY }) => `${name} (1 in ${stepX}×${stepY})`).join(', '),
      remedy: 'Write it again at full resolution.',
    })
  }
  if (used.some((c) => c.type === 'uint')) {
    return new Problem({
      code: 'media.exr-integers',
      what: 'The channels to read are whole numbers, which stand for no light',
      where,
      expected: 'half or float',
      received: used.map((c) => `${c.name} ${c.type}`).join(', '),
      remedy: 'Write it again as half or float.',
    })
  }
  return undefined
}

function sizesFit(used: readonly ExrChannel[], kind: ExrLayer['kind']): boolean {
  const is = (c: ExrChannel | undefined, step: number) => c?.stepX === step && c.stepY === step
  if (kind !== 'luma-chroma') return used.every((c) => is(c, 1))
  const [y, ry, by, ...alpha] = used
  const chroma = [1, 2].some((step) => is(ry, step) && is(by, step))
  return is(y, 1) && chroma && alpha.every((c) => is(c, 1))
}

export function exrFindings(h: ExrHeader, layer: ExrLayer, where: string): Problem[] {
  const part = h.parts[layer.part] as ExrPart
  const unused = part.channels.map((c) => c.name).filter((n) => !layer.channels.includes(n))
  const others = layersOf(h).filter((l) => l.name !== layer.name && l.kind !== 'grey')
  const choices = others.flatMap((l) => l.name || []).slice(0, 12)
  const remedy =
    choices.length === 0 ? {} : { remedy: `If you mean another, name it (${HOW}): ${choices.join(', ')}.` }
  const out: Problem[] = []
  if (layer.kind === 'luma-chroma' && isSampled(part)) {
    out.push(
      new Problem({
        code: 'media.exr-chroma-halved',
        what: 'Colour is stored for every fourth pixel and filled in; its edges are softer than those of the light',
        where,
        remedy: 'Use a copy written as R, G, B where there is one.',
      }),
    )
  }
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
