/** What an artist would do by hand on a moving plate: follow a point, and draw a matte of what stands before the sky. */
import { allocateFrame } from '../../src/core/index.js'
import { createWriter, openSource } from '../../src/media/index.js'

export interface Point {
  readonly frame: number
  readonly dx: number
  readonly dy: number
}

const HALF = 24
const SEARCH = 10

/** Whole-pixel moves of the patch around (x, y) against frame 0, by least difference of luma from frame to frame. */
export async function follow(path: string, x: number, y: number): Promise<Point[]> {
  const source = await openSource(path)
  const points: Point[] = []
  let reference: Int32Array | undefined
  let at = { x, y }
  for await (const frame of source.frames()) {
    const luma = frame.planes[0]
    if (luma === undefined) break
    const patch = (px: number, py: number) => {
      const out = new Int32Array((2 * HALF) ** 2)
      for (let v = 0; v < 2 * HALF; v++) {
        for (let u = 0; u < 2 * HALF; u++)
          out[v * 2 * HALF + u] = luma.data[(py + v - HALF) * luma.width + px + u - HALF] as number
      }
      return out
    }
    reference ??= patch(x, y)
    let best = { cost: Number.POSITIVE_INFINITY, x: at.x, y: at.y }
    for (let dy = -SEARCH; dy <= SEARCH; dy++) {
      for (let dx = -SEARCH; dx <= SEARCH; dx++) {
        const here = patch(at.x + dx, at.y + dy)
        let cost = 0
        for (let i = 0; i < here.length; i++) cost += Math.abs((here[i] as number) - (reference[i] as number))
        if (cost < best.cost) best = { cost, x: at.x + dx, y: at.y + dy }
      }
    }
    at = best
    points.push({ frame: points.length, dx: at.x - x, dy: at.y - y })
  }
  await source.close()
  return points
}

/** Matte sequence: white wherever luma lies below `level` of full code (what stands before a brighter sky), and below `horizon`. */
export async function skylineMatte(
  path: string,
  out: string,
  level: number,
  soft: number,
  horizon: number,
): Promise<void> {
  const source = await openSource(path)
  const { width, height, layout } = source.info
  const encoding = {
    range: 'full',
    matrix: 'rgb',
    curve: 'linear',
    primaries: 'bt709',
    siting: 'centre',
  } as const
  const writer = await createWriter(out, {
    format: 'png-16',
    width,
    height,
    rate: { num: 24, den: 1 },
    encoding,
    firstNumber: 0,
  })
  const top = 2 ** layout.bits - 1
  for await (const frame of source.frames()) {
    const matte = allocateFrame(writer.layout, width, height)
    const luma = frame.planes[0]
    if (luma === undefined) break
    for (let i = 0; i < luma.data.length; i++) {
      const t =
        i >= horizon * width
          ? 0
          : Math.min(Math.max(((luma.data[i] as number) / top - level) / soft + 0.5, 0), 1)
      for (const plane of matte.planes) plane.data[i] = Math.round(65535 * (1 - t))
    }
    await writer.write(matte)
  }
  await writer.finish()
  await source.close()
}
