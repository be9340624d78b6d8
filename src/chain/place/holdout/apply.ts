/**
 * Holdout: what stands before the element takes its place. C ← C · (1 − h), α ← α · (1 − h), after the lens.
 *
 * The matte's first plane is coverage as it stands: code 0 is nothing, full code is all. Source: [porter1984] (out).
 */
import { type FloatImage, type NativeFrame, Problem } from '../../../core/index.js'

/** In place. */
export function applyHoldout(
  image: FloatImage,
  matte: NativeFrame,
  frameWidth: number,
  frameHeight: number,
): void {
  if (matte.width !== frameWidth || matte.height !== frameHeight) {
    throw new Problem({
      code: 'place.holdout-size',
      what: 'A holdout has the size of the plate',
      expected: `${frameWidth}×${frameHeight}`,
      received: `${matte.width}×${matte.height}`,
      remedy: 'Draw the matte at the size of the plate.',
    })
  }
  const plane = matte.planes[0]
  if (plane === undefined) return
  const top = matte.layout.float ? 1 : 2 ** matte.layout.bits - 1
  const { region: r, data } = image
  for (let y = 0; y < r.height; y++) {
    for (let x = 0; x < r.width; x++) {
      const h = Math.min(Math.max((plane.data[(y + r.y) * plane.width + x + r.x] as number) / top, 0), 1)
      if (h === 0) continue
      const i = 4 * (y * r.width + x)
      for (let c = 0; c < 4; c++) data[i + c] = (data[i + c] as number) * (1 - h)
    }
  }
}
