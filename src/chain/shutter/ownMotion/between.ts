/**
 * A picture between two of an element's: each is bent to where what it shows lies then, and the two are mixed by how near they are.
 *
 *   out(p) = (1 − s)·A(a) + s·B(b)      a + s·F(a) = p      b + (1 − s)·G(b) = p
 *
 *   A, B  the pictures before and behind    F  the way from A's to B's places, px    G  the way back    s  time since A, frames
 *
 * Holds where all of one is in the other; what comes out from behind something lies in one alone, and tears. The way is found by going
 * back along it a few times over. Source: [lucas1981] for the ways between two pictures; mixing, common practice.
 */
import { type WarpMap, warpMap } from '../../../kernels/index.js'
import { lookUp, type OwnMotion } from './model.js'

/** Pixels between nodes: a flow is smoother than that. */
const STEP = 8
/** Times that the way back is gone: each leaves the part of it by which the flow differs over its own length. */
const TIMES = 3

/**
 * @param share of the way, 0 to 1
 * @param to `next` from the picture to the next one, `before` to the one before
 * @param size of the picture, which may be a smaller one of the file's
 */
export function bentAlong(
  motion: OwnMotion,
  share: number,
  to: 'next' | 'before',
  { width, height }: { readonly width: number; readonly height: number },
): WarpMap {
  const factor = width / motion.width
  const at = lookUp(motion)
  const way = new Float64Array(4)
  const c = to === 'before' ? 0 : 2
  return warpMap({ x: 0, y: 0, width, height }, STEP, false, (x, y, out) => {
    const [px, py] = [
      (x - width / 2) / factor + motion.width / 2,
      (y - height / 2) / factor + motion.height / 2,
    ]
    let [u, v] = [px, py]
    for (let k = 0; k < TIMES; k++) {
      at(u, v, way)
      ;[u, v] = [px - share * (way[c] as number), py - share * (way[c + 1] as number)]
    }
    out[2] = x + factor * (u - px)
    out[3] = y + factor * (v - py)
  })
}
