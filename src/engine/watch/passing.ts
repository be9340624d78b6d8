/** What passed before an element's foot in the plate, as the finished file shows it: whether the element lies over it there. */
import type { Passing } from '../../chain/place/cover/compare.js'
import type { Source } from '../../media/index.js'
import type { Picture } from '../plan.js'
import { type Luma, lumaOf } from '../track/luma.js'
import type { Hidden } from './foot.js'

export interface Files {
  readonly plate: Source
  /** Of the shot, in the plate. */
  readonly first: number
  readonly rendered: Source
}

/** Side of the place about the foot that is compared with the plate, px, and by how much it must differ, of full code. */
const PLACE = 31
const DIFFERS = 0.02

export async function passingOf(
  hidden: readonly Hidden[],
  { plate, first, rendered }: Files,
  { width, height }: Picture,
): Promise<Passing[]> {
  const out: Passing[] = []
  for (const { frames, at, alike } of hidden) {
    const n = frames[frames.length >> 1] as number
    const [x, y] = [Math.round(at[0] - PLACE / 2), Math.round(at[1] - PLACE / 2)]
    // What stands on its foot lies above it.
    const region = {
      x: Math.max(0, x),
      y: Math.max(0, y),
      width: Math.min(PLACE, width - x),
      height: Math.min(PLACE >> 1, height - y),
    }
    const [before, after] = [await lumaAt(plate, first + n), await lumaAt(rendered, n)]
    if (before === undefined || after === undefined) continue
    out.push({ frames, region, alike, differs: apart(before, after, region), least: DIFFERS })
  }
  return out
}

async function lumaAt(source: Source, n: number): Promise<Luma | undefined> {
  for await (const frame of source.frames(n, 1)) return lumaOf(frame)
  return undefined
}

function apart(a: Luma, b: Luma, r: Passing['region']): number {
  let sum = 0
  for (let y = r.y; y < r.y + r.height; y++) {
    for (let x = r.x; x < r.x + r.width; x++) {
      const p = y * a.width + x
      sum += Math.abs((a.data[p] as number) / a.step - (b.data[p] as number) / b.step)
    }
  }
  return sum / (255 * r.width * r.height)
}
