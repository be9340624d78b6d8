/** Refuses OpenEXR files whose colour cannot be read exactly, each with its reason; names what is passed over. */
import { Problem } from '../../../core/index.js'
import type { ExrHeader } from './header.js'

/** @throws Problem `media.exr-deep`, `media.exr-subsampled-chroma`, `media.exr-no-colour`, `media.exr-integer` */
export function guardExr(h: ExrHeader, where: string): void {
  const names = h.channels.map((c) => c.name)
  const received = `channels ${names.join(', ')}`
  if (h.deep) {
    throw new Problem({
      code: 'media.exr-deep',
      what: 'This OpenEXR file holds deep samples',
      where,
      remedy: 'Flatten it to one sample a pixel.',
    })
  }
  if (
    names.includes('RY') ||
    names.includes('BY') ||
    h.channels.some((c) => c.stepX !== 1 || c.stepY !== 1)
  ) {
    throw new Problem({
      code: 'media.exr-subsampled-chroma',
      what: 'This OpenEXR file stores luminance and subsampled chroma',
      where,
      expected: 'channels R, G, B (and A) at full resolution',
      received,
      remedy: 'Write it again as RGB.',
    })
  }
  const colour = ['R', 'G', 'B'].every((n) => names.includes(n)) ? ['R', 'G', 'B', 'A'] : ['Y', 'A']
  if (!names.includes(colour[0] as string)) {
    throw new Problem({
      code: 'media.exr-no-colour',
      what: 'This OpenEXR file holds no picture in its main layer',
      where,
      expected: 'channels R, G, B or Y',
      received,
      remedy: names.includes('Z')
        ? 'It is a depth map: it cannot serve as a picture.'
        : 'Write the layer you need as R, G, B.',
    })
  }
  const used = h.channels.filter((c) => colour.includes(c.name))
  if (used.some((c) => c.type === 'uint') || new Set(used.map((c) => c.type)).size > 1) {
    throw new Problem({
      code: 'media.exr-mixed-types',
      what: 'The colour channels are integers or of several types',
      where,
      expected: 'all half or all float',
      received: used.map((c) => `${c.name} ${c.type}`).join(', '),
      remedy: 'Write it again with one type.',
    })
  }
}

export function exrFindings(h: ExrHeader, where: string): Problem[] {
  const names = h.channels.map((c) => c.name)
  const rgb = names.includes('R')
  const unused = names.filter((n) => !(rgb ? ['R', 'G', 'B', 'A'] : ['Y', 'A']).includes(n))
  const out: Problem[] = []
  if (unused.length > 0) {
    out.push(
      new Problem({
        code: 'media.exr-channels-unused',
        what: 'Some channels are passed over',
        where,
        received: unused.slice(0, 12).join(', '),
      }),
    )
  }
  if (h.parts > 1) {
    out.push(
      new Problem({
        code: 'media.exr-parts-unused',
        what: 'Only the first part of the file is read',
        where,
        received: `${h.parts} parts`,
      }),
    )
  }
  return out
}
