/**
 * A textured disc that goes past an unevenly lit green wall, filmed with noise, the camera's curve and 4:2:0 of 8 bits. What covers each
 * pixel follows from geometry: the part of the time the shutter is open, and of the pixel, for which the disc is there.
 *
 * A whole number of pixels a frame makes the true matte of a frame that of the one before, moved: all else that changes is chatter.
 */
import { bits } from '../worlds/chance.js'
import { bt709, tableOf, to420 } from '../worlds/curves.js'
import { Movie } from '../worlds/files.js'

export interface DiscFilm {
  readonly width: number
  readonly height: number
  readonly frames: number
  readonly radius: number
  /** Centre on the first frame, in the middle of its exposure, px. */
  readonly from: readonly [number, number]
  /** px a frame. */
  readonly step: readonly [number, number]
  /** Part of a frame for which the shutter is open. */
  readonly shutter: number
  /** Width over which the still edge rises evenly, px. */
  readonly soft: number
  /** σ of linear light at 18 %. */
  readonly noise: number
  readonly seed: number
  readonly crf: number
}

export const DISC: DiscFilm = {
  ...{ width: 256, height: 128, frames: 4, radius: 34, from: [60, 64], step: [30, 0] },
  ...{ shutter: 0.5, soft: 1.6, noise: 0.006, seed: 3, crf: 14 },
}

const INSTANTS = 48
const SUB = [0.25, 0.75]
const code = tableOf(bt709, 1.2)

export interface DiscFrame {
  /** Linear light: three numbers a pixel. */
  readonly picture: Float32Array
  /** Coverage. */
  readonly alpha: Float32Array
}

export function paintDisc(f: DiscFilm, frame: number): DiscFrame {
  const { width, height } = f
  const picture = new Float32Array(3 * width * height)
  const alpha = new Float32Array(width * height)
  const middles = Array.from({ length: INSTANTS }, (_, k) => {
    const t = frame + f.shutter * ((k + 0.5) / INSTANTS - 0.5)
    return [f.from[0] + t * f.step[0], f.from[1] + t * f.step[1]] as const
  })
  for (let p = 0; p < alpha.length; p++) {
    const [x, y] = [p % width, Math.floor(p / width)]
    let cover = 0
    const own = [0, 0, 0]
    for (const [mx, my] of middles) {
      const [dx, dy] = [x + 0.5 - mx, y + 0.5 - my]
      if (Math.abs(dx) > f.radius + 4 || Math.abs(dy) > f.radius + 4) continue
      let here = 0
      for (const v of SUB)
        for (const u of SUB) {
          const far = Math.sqrt((dx + u - 0.5) ** 2 + (dy + v - 0.5) ** 2)
          here += Math.min(Math.max((f.radius - far) / f.soft + 0.5, 0), 1) / SUB.length ** 2
        }
      if (here === 0) continue
      const tone =
        1 + 0.35 * Math.sin(dx / 3.1 + 0.9 * Math.sin(dy / 4.3)) + 0.2 * Math.sin(dy / 2.3 + dx / 9)
      cover += here
      own[0] += here * tone * 0.42
      own[1] += here * tone * 0.27
      own[2] += here * tone * 0.2
    }
    alpha[p] = cover / INSTANTS
    const lit = 1 - 0.25 * (x / width) - 0.1 * (y / height)
    const wall = [0.05 * lit, 0.36 * lit, 0.085 * lit]
    for (let c = 0; c < 3; c++) picture[3 * p + c] = own[c] / INSTANTS + (1 - alpha[p]) * wall[c]
  }
  return { picture, alpha }
}

/** Writes the clip. @returns its frames without noise */
export async function filmDisc(path: string, f: DiscFilm): Promise<DiscFrame[]> {
  const { width, height, frames, crf } = f
  const movie = await Movie.open({ path, width, height, fps: 24, bits: 8, crf })
  const all = Array.from({ length: frames }, (_, n) => paintDisc(f, n))
  for (const [n, { picture }] of all.entries()) {
    const noisy = picture.map((v, i) => {
      const light = v + f.noise * Math.sqrt(Math.max(v, 0.02) / 0.18) * normal(f.seed, i, n)
      return Math.min(Math.max(code(Math.max(light, 0)), 0), 1)
    })
    await movie.write(to420(noisy, width, height, 8))
  }
  await movie.finish()
  return all
}

/** Nearly: the sum of four uniform numbers. */
function normal(seed: number, i: number, frame: number): number {
  const [a, b] = [bits(seed, i, frame, 920), bits(seed, i, frame, 921)]
  return ((a & 65535) + (a >>> 16) + (b & 65535) + (b >>> 16) - 131072) * (Math.sqrt(3) / 65536)
}

/**
 * How long its edges are blurred along the way, px: both of them on lines along the way through its middle. Of an edge that rises evenly over L
 *
 *   ∫ α(1 − α) ds = L / 6
 */
export function discBlur(
  f: DiscFilm,
  frame: number,
  alpha: ArrayLike<number>,
): { behind: number; ahead: number } {
  const length = Math.hypot(...f.step) || 1
  const [ux, uy] = f.step[0] === 0 && f.step[1] === 0 ? [1, 0] : [f.step[0] / length, f.step[1] / length]
  const [mx, my] = [f.from[0] + frame * f.step[0], f.from[1] + frame * f.step[1]]
  const sums = [0, 0]
  const lines = [-12, -9, -6, -3, 0, 3, 6, 9, 12]
  for (const off of lines)
    for (let d = -f.radius - 34; d < f.radius + 34; d += 0.5) {
      const a = at(f, alpha, mx + d * ux - off * uy, my + d * uy + off * ux)
      sums[d < 0 ? 0 : 1] += (0.5 * 6 * a * (1 - a)) / lines.length
    }
  return { behind: sums[0], ahead: sums[1] }
}

function at({ width, height }: DiscFilm, alpha: ArrayLike<number>, x: number, y: number): number {
  const [u, v] = [
    Math.min(Math.max(x - 0.5, 0), width - 1.001),
    Math.min(Math.max(y - 0.5, 0), height - 1.001),
  ]
  const [i, j] = [Math.floor(u), Math.floor(v)]
  const [a, b] = [u - i, v - j]
  const p = j * width + i
  return (
    (1 - b) * ((1 - a) * alpha[p] + a * alpha[p + 1]) +
    b * ((1 - a) * alpha[p + width] + a * alpha[p + width + 1])
  )
}

/**
 * Chatter along the true motion, over where the true matte is partly covered and 2 px about: mean square of what the error of a matte has
 * that the error of the frame before, moved, has not. The motion is a whole number of pixels.
 */
export function discChatter(
  f: DiscFilm,
  truth: readonly DiscFrame[],
  alphas: readonly ArrayLike<number>[],
): number {
  let [sum, n] = [0, 0]
  for (let k = 1; k < truth.length; k++)
    for (let y = 0; y < f.height; y++)
      for (let x = 0; x < f.width; x++) {
        const [u, v] = [x - f.step[0], y - f.step[1]]
        if (
          u < 2 ||
          v < 2 ||
          u >= f.width - 2 ||
          v >= f.height - 2 ||
          x < 2 ||
          y < 2 ||
          x >= f.width - 2 ||
          y >= f.height - 2
        )
          continue
        const p = y * f.width + x
        const q = v * f.width + u
        if (!isEdge(truth[k].alpha, p, f.width)) continue
        const change = alphas[k][p] - truth[k].alpha[p] - (alphas[k - 1][q] - truth[k - 1].alpha[q])
        sum += change * change
        n++
      }
  return sum / Math.max(n, 1)
}

function isEdge(alpha: Float32Array, p: number, width: number): boolean {
  for (let v = -2; v <= 2; v++)
    for (let u = -2; u <= 2; u++) {
      const a = alpha[p + v * width + u]
      if (a > 0 && a < 1) return true
    }
  return false
}
