/**
 * Lateral chromatic aberration: the lens draws red and blue at other sizes than green.
 *
 *   r_red = r·(k_red + c_red·r + b_red·r²)     r_blue the same
 *
 *   r  distance from the lens's middle at which green lies, after distortion; 1 is half the picture's short side
 *   k  factor, 1 is no aberration      c, b  how it differs from the middle to the corner
 *
 * Source: [lensfun-db], the models `linear` (c = b = 0) and `poly3`.
 */

/** k of red and blue, then c of both, then b of both. */
export type Aberration = readonly [number, number, number, number, number, number]

/** What is the same at all radii. */
export function linear([red, blue]: readonly [number, number]): Aberration {
  return [red, blue, 0, 0, 0, 0]
}

export const UNCOLOURED: Aberration = [1, 1, 0, 0, 0, 0]

export function isColoured(a: Aberration): boolean {
  return a.some((k, i) => k !== UNCOLOURED[i])
}

/** Factor of red (0) or blue (1) where green lies at a radius. */
export function factorAt(a: Aberration, colour: 0 | 1, r: number): number {
  const [k, c, b] = [a[colour], a[2 + colour], a[4 + colour]] as [number, number, number]
  return k + r * (c + r * b)
}

/** How near r has to come, of itself. */
const NEAR = 1e-12
const STEPS = 20

/** Where green lies whose red, green or blue lies at (x, y), all from the lens's middle. @param unit length of 1 */
export function greenOf(
  a: Aberration,
  channel: 0 | 1 | 2,
  x: number,
  y: number,
  unit: number,
): [number, number] {
  if (channel === 1) return [x, y]
  const colour = channel === 0 ? 0 : 1
  if (a[2 + colour] === 0 && a[4 + colour] === 0) return [x / a[colour], y / a[colour]]
  const at = Math.sqrt(x * x + y * y) / unit
  // k is near 1 and grows slowly: each step comes nearer by a factor of its slope.
  let [r, k] = [at, factorAt(a, colour, at)]
  for (let i = 0; i < STEPS; i++) {
    const next = at / k
    k = factorAt(a, colour, next)
    if (Math.abs(next - r) <= NEAR * at) break
    r = next
  }
  return [x / k, y / k]
}
