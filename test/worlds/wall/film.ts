/** What the camera makes of it: noise of photons and reading, smeared by the sensor's colour filter, its curve, 4:2:0 of 8 bits, H.264. */
import { bits } from '../chance.js'
import { bt709, tableOf, to420 } from '../curves.js'
import { Movie } from '../files.js'
import { type Painted, paintWall } from './paint.js'
import type { WallSetting } from './setting.js'

const code = tableOf(bt709, 1.2)
/** Weight of each of four neighbours in what a missing colour is made of; green is there twice as often. */
const SMEAR = [0.3, 0.15, 0.3]

/** Writes the clip. @returns truth of every frame @param rays a pixel where an edge may be */
export async function filmWall(path: string, s: WallSetting, rays?: number): Promise<Painted[]> {
  const { width, height, frames, crf } = s
  const movie = await Movie.open({ path, width, height, fps: 24, bits: 8, crf })
  const painted: Painted[] = []
  for (let k = 0; k < frames; k++) {
    const made = paintWall(s, k, rays)
    painted.push(made)
    await movie.write(to420(codes(s, made.picture, k), width, height, 8))
  }
  await movie.finish()
  return painted
}

function codes(s: WallSetting, light: Float32Array, frame: number): Float32Array {
  const out = new Float32Array(light.length)
  const n = s.width * s.height
  for (let c = 0; c < 3; c++) {
    const field = smeared(white(s, n, frame, c), s.width, s.height, SMEAR[c])
    for (let p = 0; p < n; p++) {
      const v = light[3 * p + c]
      const noisy = v + field[p] * Math.sqrt(s.noise.photon * v + s.noise.read)
      out[3 * p + c] = Math.min(Math.max(code(Math.max(noisy, 0)), 0), 1)
    }
  }
  return out
}

/** Nearly normal: the sum of four uniform numbers. */
function white(s: WallSetting, n: number, frame: number, channel: number): Float32Array {
  return Float32Array.from({ length: n }, (_, p) => {
    const [a, b] = [bits(s.seed, p, frame, 900 + channel), bits(s.seed, p, frame, 910 + channel)]
    return ((a & 65535) + (a >>> 16) + (b & 65535) + (b >>> 16) - 131072) * (Math.sqrt(3) / 65536)
  })
}

/** Shared with the four neighbours; variance stays 1. */
function smeared(v: Float32Array, width: number, height: number, w: number): Float32Array {
  const back = 1 / Math.sqrt(1 + 4 * w * w)
  return v.map((own, p) => {
    const [x, y] = [p % width, Math.floor(p / width)]
    const left = v[x > 0 ? p - 1 : p]
    const right = v[x < width - 1 ? p + 1 : p]
    const above = v[y > 0 ? p - width : p]
    const below = v[y < height - 1 ? p + width : p]
    return back * (own + w * (left + right + above + below))
  })
}
