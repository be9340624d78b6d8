/** A textured blob that moves, turns and changes its form before a textured wall, painted with known truth. */
import { join } from 'node:path'
import { pictures } from './small.js'

export const BLOB = { width: 320, height: 240 } as const

export type Place = [number, number]

export interface Scene {
  readonly frames: number
  /** A bar passes before the blob, px wide. */
  readonly bar?: number
  /** It keeps its form and size. */
  readonly stiff?: true
}

/** Where its middle lies on a frame. */
export const middleOf = (n: number): Place => [pose(n).x, pose(n).y]

/** Frame n: middle, turn, and how its waves stand. */
const pose = (n: number, stiff?: true) => ({
  x: 110 + 3 * n - 0.03 * n * n,
  y: 125 + 14 * Math.sin(n / 9),
  turn: 0.025 * n,
  size: stiff ? 1 : 1 + 0.08 * Math.sin(n / 7),
  wave: stiff ? 7 : 7 + 3 * Math.sin(n / 5),
})

/** Its radius at an angle of its own, px. */
const radius = (a: number, n: number, stiff?: true) => 52 + pose(n, stiff).wave * Math.cos(3 * a)

/** Where its outline lies at an angle of its own. */
export function onOutline(a: number, n: number, stiff?: true): Place {
  const { x, y, turn, size } = pose(n, stiff)
  const r = size * radius(a, n, stiff)
  return [x + r * Math.cos(a + turn), y + r * Math.sin(a + turn)]
}

export function drawnOutline(n: number, stiff?: true, count = 18): Place[] {
  return Array.from({ length: count }, (_, i) => onOutline((2 * Math.PI * i) / count, n, stiff))
}

/** Waves without a common period; another pattern for every k. */
function rough(u: number, v: number, k: number): number {
  let sum = 0
  for (let i = 1; i <= 5; i++) {
    const [f, a] = [0.18 + 0.11 * i, 2.4 * i + k]
    sum += Math.sin(f * (u * Math.cos(a) + v * Math.sin(a)) + i * k)
  }
  return sum
}

function colour(x: number, y: number, n: number, { bar = 0, frames, stiff }: Scene): number {
  const left = -bar + ((n + 0.5) / frames) * (BLOB.width + bar)
  if (bar > 0 && x > left && x < left + bar) return 0.2 + 0.03 * rough(x - left, y, 5)
  const { x: mx, y: my, turn, size } = pose(n, stiff)
  const [dx, dy] = [x - mx, y - my]
  const a = Math.atan2(dy, dx) - turn
  const r = Math.sqrt(dx * dx + dy * dy) / size
  const own = radius(a, n, stiff)
  if (r >= own) return 0.35 + 0.04 * rough(x - 0.4 * n, y, 1)
  // Its texture goes along with its form.
  const s = (52 * r) / own
  return 0.62 + 0.05 * rough(s * Math.cos(a), s * Math.sin(a), 2)
}

/** Paints `blob/`, 2 × 2 samples a pixel. @returns its path */
export async function paintBlob(folder: string, scene: Scene): Promise<string> {
  const path = join(folder, 'blob', 'blob.####.png')
  await pictures(path, BLOB.width, BLOB.height, scene.frames, (x, y, n) => {
    let sum = 0
    for (let k = 0; k < 4; k++)
      sum += colour(x + ((k % 2) + 0.5) / 2, y + (Math.floor(k / 2) + 0.5) / 2, n, scene)
    const v = sum / 4
    return [v, v, v]
  })
  return path
}
