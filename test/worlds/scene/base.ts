/**
 * The static picture, once, by many samples a pixel, kept in layers so that an effect can be put behind, between and
 * before: fence; what is nearer than the smoke; what is farther; how much sea shows; reflectances for thrown light.
 */

import { lensRay, newRay } from '../camera.js'
import { bits } from '../chance.js'
import type { Setting } from '../setting.js'
import { traceFence } from './fence.js'
import { GROUND, newHit, SEA, SKY, WALL } from './hit.js'
import type { Scene } from './scene.js'

/** Planes of width × height, premultiplied by their share of the pixel. */
export interface Layers {
  readonly fence: Float32Array
  readonly fenceShare: Float32Array
  readonly near: Float32Array
  readonly nearShare: Float32Array
  readonly far: Float32Array
  readonly sea: Float32Array
  readonly wall: Float32Array
  readonly ground: Float32Array
}

export function newLayers(s: Setting): Layers {
  const n = s.width * s.height
  const plane = (k: number) => new Float32Array(new SharedArrayBuffer(n * k * 4))
  return {
    fence: plane(3),
    fenceShare: plane(1),
    near: plane(3),
    nearShare: plane(1),
    far: plane(3),
    sea: plane(1),
    wall: plane(1),
    ground: plane(1),
  }
}

/** Whether two distances belong to different things. */
function parts(a: number, b: number): boolean {
  return Math.abs(a - b) > 0.07 * Math.min(a, b)
}

/** Place of a stratum in an order that spreads over the pixel from the start. */
function rank(k: number, n: number): number {
  const x = k % n
  const y = Math.floor(k / n)
  // The first n lie on a turned grid: one in every column and every row.
  const turned = (2 * y + (2 * y >= n ? 0 : 1)) % n
  return x === turned ? y : n + ((k * 7) % (n * n))
}

/** Renders rows y0 to y1 (not included): a few samples everywhere, all of them where they disagree. */
export function renderRows(s: Setting, scene: Scene, y0: number, y1: number, out: Layers): void {
  const n = s.samples
  const all = n * n
  const few = Math.min(all, 4)
  const ray = newRay()
  const hit = newHit()
  const rgb = new Float64Array(3)
  // Strata in a scattered order, so that the first few already spread over the pixel.
  const order = Array.from({ length: all }, (_, k) => k).sort((a, b) => rank(a, n) - rank(b, n))
  const sum = new Float64Array(8)
  // Distances through the pixels' centres: rows above, at hand, below.
  const rows: Float64Array[] = [0, 1, 2].map(() => new Float64Array(s.width))
  const scan = (y: number, row: Float64Array): Float64Array => {
    for (let x = 0; x < s.width; x++) {
      ray.ox = 0
      ray.oy = s.eyeM
      ray.dx = (x + 0.5 - s.width / 2) / s.focalPx
      ray.dy = (s.horizonY - y - 0.5) / s.focalPx
      row[x] = scene.depth(x, y, ray, hit)
    }
    return row
  }
  scan(y0 - 1, rows[0])
  scan(y0, rows[1])
  for (let y = y0; y < y1; y++) {
    scan(y + 1, rows[2])
    for (let x = 0; x < s.width; x++) {
      const i = y * s.width + x
      let blocked = 0
      for (let k = 0; k < all; k++) {
        lensRay(s, x, y, k, n, ray)
        if (traceFence(s, ray, scene.around, rgb) < 60) {
          for (let c = 0; c < 3; c++) out.fence[3 * i + c] += rgb[c] / all
          blocked++
        }
      }
      out.fenceShare[i] = blocked / all
      const open = 1 - blocked / all
      sum.fill(0)
      let lo = 1e9
      let hi = -1e9
      let count = 0
      let firstKind = -1
      let firstT = 0
      const here = rows[1][x]
      let mixed =
        parts(here, rows[0][x]) ||
        parts(here, rows[2][x]) ||
        (x > 0 && parts(here, rows[1][x - 1])) ||
        (x < s.width - 1 && parts(here, rows[1][x + 1]))
      for (let j = 0; j < all; j++) {
        if (j >= few && !mixed && hi - lo < 0.012 + 0.14 * lo) break
        const k = order[j]
        lensRay(s, x, y, k, n, ray)
        scene.trace(x, y, ray, bits(s.seed, x, y, k), hit)
        count++
        if (firstKind < 0) {
          firstKind = hit.kind
          firstT = hit.t
        } else if (hit.kind !== firstKind || Math.abs(hit.t - firstT) > 0.06 * firstT) mixed = true
        if (hit.kind === SEA) {
          sum[6]++
          continue
        }
        if (hit.g < lo) lo = hit.g
        if (hit.g > hi) hi = hit.g
        const at = hit.kind !== SKY && hit.t < s.smoke.distanceM ? 0 : 3
        sum[at] += hit.r
        sum[at + 1] += hit.g
        sum[at + 2] += hit.b
        if (at === 0) sum[7]++
        if (hit.kind === WALL) out.wall[i] += hit.rho
        if (hit.kind === GROUND) out.ground[i] += hit.rho
      }
      const share = open / count
      for (let c = 0; c < 3; c++) {
        out.near[3 * i + c] = sum[c] * share
        out.far[3 * i + c] = sum[3 + c] * share
      }
      out.sea[i] = sum[6] * share
      out.nearShare[i] = sum[7] * share
      out.wall[i] *= share
      out.ground[i] *= share
    }
    rows.push(rows.shift() as Float64Array)
  }
}
