/** What a depth map has to be before a shot follows it. */
import { refuseNoDepth } from '../chain/place/holdout/depthCheck.js'
import { type NativeFrame, Problem } from '../core/index.js'
import type { Source } from '../media/index.js'
import type { Shot } from '../shot/schema.js'

/** How far the map's shape may be from the plate's: a map of a quarter of the size is rounded to whole pixels. A choice. */
const SHAPE = 0.02

/** @throws Problem `place.depth-shape` and as `refuseNoDepth`, judged by its first, middle and last frame */
export async function checkDepth(
  map: Source,
  { info: plate }: Source,
  scale: NonNullable<Shot['site']['depth']>,
): Promise<void> {
  const { width, height, frameCount, path } = map.info
  const where = `site.depth (${path})`
  if (Math.abs((width * plate.height) / (height * plate.width) - 1) > SHAPE)
    throw new Problem({
      code: 'place.depth-shape',
      what: 'A depth map lies over the whole plate, and this one has another shape',
      where,
      expected: `${plate.width}×${plate.height}, or as wide by its height`,
      received: `${width}×${height}`,
      remedy: 'Make the map of the uncropped plate.',
    })
  const frames: NativeFrame[] = []
  for (const number of new Set([0, Math.floor(frameCount / 2), frameCount - 1]))
    for await (const frame of map.frames(number, 1)) frames.push(frame)
  refuseNoDepth(frames, scale, where)
}
