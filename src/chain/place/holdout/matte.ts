/**
 * A matte from a file hides by its first plane as it stands: code 0 is nothing, full code is all. It has the plate's size.
 */
import { intersect, type NativeFrame, Problem, type Region } from '../../../core/index.js'
import type { Hidden, Hide } from './apply.js'

/** @throws Problem `place.matte-alpha` when the file holds another matte as its alpha */
export function matteHide(matte: NativeFrame): Hide {
  refuseSecond(matte)
  const plane = matte.planes[0]
  const top = topOf(matte)
  return (part): Hidden | undefined => {
    if (plane === undefined) return undefined
    const region: Region = intersect(part, { x: 0, y: 0, width: plane.width, height: plane.height })
    const share = new Float32Array(region.width * region.height)
    for (let y = 0, i = 0; y < region.height; y++) {
      let p = (y + region.y) * plane.width + region.x
      for (let x = 0; x < region.width; x++, i++, p++) {
        share[i] = Math.min(Math.max((plane.data[p] as number) / top, 0), 1)
      }
    }
    return { region, share }
  }
}

/** An alpha that is whole everywhere, or the same as the first channel, leaves no doubt which of the two is meant. */
export function refuseSecond({ layout, planes }: NativeFrame): void {
  const alpha = layout.alpha ? planes[planes.length - 1] : undefined
  const first = planes[0]
  if (alpha === undefined || first === undefined || alpha === first) return
  const top = topOf({ layout })
  const whole = alpha.data.every((v) => v >= top)
  if (whole || alpha.data.every((v, i) => v === first.data[i])) return
  throw new Problem({
    code: 'place.matte-alpha',
    what: 'This matte has one picture in its first channel and another in its alpha',
    expected: 'one channel, white where something stands before the element',
    received: 'two that differ',
    remedy:
      'Save the one that is meant as a grey picture, or name its channel as the layer where the file has names.',
  })
}

/** What counts as all. */
export function topOf({ layout }: Pick<NativeFrame, 'layout'>): number {
  return layout.float ? 1 : 2 ** layout.bits - 1
}
