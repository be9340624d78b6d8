/** Whether anything of an element would be seen where it is to stand. */
import { Problem } from '../../core/index.js'
import type { KnownFacts, Unread } from './types.js'

interface Size {
  readonly width: number
  readonly height: number
}

const CODE = 'suit.outside-plate'

/**
 * A large element's middle may lie outside the frame, as long as its picture reaches in; of one whose size is not known the middle counts.
 *
 * @param placed size in plate pixels
 * @throws Problem `suit.outside-plate`
 */
export function requireInFrame(at: KnownFacts['at'], placed: Size | undefined, plate: Size): void {
  if (at === undefined) return
  const [halfWide, halfTall] = [(placed?.width ?? 0) / 2, (placed?.height ?? 0) / 2]
  const seen = (middle: number, half: number, whole: number) => middle + half >= 0 && middle - half <= whole
  if (seen(at.x, halfWide, plate.width) && seen(at.y, halfTall, plate.height)) return
  throw new Problem({
    code: CODE,
    what:
      placed === undefined
        ? 'The place lies outside the plate'
        : 'At this place and size nothing of it lies in the plate',
    where: `--at ${at.x},${at.y}`,
    expected: `pixels of the plate, 0,0 to ${plate.width},${plate.height}`,
    remedy: "Give the element's middle in pixels of the plate, from its top left.",
  })
}

export function isOutside({ problem }: Unread): boolean {
  return problem.code === CODE
}
