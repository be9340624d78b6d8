/** Hand-made pictures: a ramp, a card of patches, noise. Samples stay inside the range that the layout's codec keeps. */
import { allocateFrame, type NativeFrame, type PixelLayout } from '../../src/core/index.js'

/** Deterministic noise in [0, 1): a linear congruential generator (Numerical Recipes' constants, from memory). */
export function noise(seed: number): () => number {
  let s = seed >>> 0
  return () => {
    s = (Math.imul(s, 1664525) + 1013904223) >>> 0
    return s / 2 ** 32
  }
}

export type Kind = 'ramp' | 'card' | 'noise'

export function picture(
  layout: PixelLayout,
  width: number,
  height: number,
  kind: Kind,
  seed = 1,
): NativeFrame {
  const frame = allocateFrame(layout, width, height)
  const random = noise(seed * 7919)
  for (const [c, plane] of frame.planes.entries()) {
    const scale = layout.float ? 1 : 2 ** layout.bits
    for (let y = 0; y < plane.height; y++) {
      for (let x = 0; x < plane.width; x++) {
        const u = (x + 0.5) / plane.width
        const v = (y + 0.5) / plane.height
        const patch = Math.floor(u * 16) + 16 * Math.floor(v * 8)
        const value =
          kind === 'ramp'
            ? 0.1 + 0.8 * (c % 2 ? v : u) * (1 - 0.1 * (seed % 5))
            : kind === 'card'
              ? 0.07 + 0.85 * (((patch + seed) * (2 * c + 1) * 37) % 128) * (1 / 128)
              : 0.4 + 0.2 * random()
        plane.data[y * plane.width + x] = layout.float ? value : Math.floor(value * scale)
      }
    }
  }
  return frame
}
