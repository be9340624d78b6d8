/**
 * Weights of a disc of radius r: the share of each pixel that the disc covers, divided by their sum.
 *
 * A row of the kernel is a run of wholly covered pixels and, at both its ends, a few partly covered ones.
 *
 * Source: [potmesil1981] for the disc of confusion; area coverage is common practice.
 */
export interface DiscRow {
  /** Pixels −full … full are wholly covered; −1 when none is. */
  readonly full: number
  /** Weights of pixels full + 1, full + 2, … on each side (and of pixel 0 first when `full` is −1). */
  readonly edge: readonly number[]
}

export interface Disc {
  /** Weight of a wholly covered pixel. */
  readonly weight: number
  /** Rows 0 to reach from the middle; the kernel is the same above and below. */
  readonly rows: readonly DiscRow[]
}

const PARTS = 64

/** `radius` in pixels, above 0. */
export function discKernel(radius: number): Disc {
  const reach = Math.ceil(radius + 0.5) - 1
  let sum = 0
  const rows: DiscRow[] = []
  for (let y = 0; y <= reach; y++) {
    let full = -1
    const edge: number[] = []
    for (let x = 0; x <= reach; x++) {
      const share = (coverage(x, y, radius) + coverage(y, x, radius)) / 2
      if (share === 1 && edge.length === 0) full = x
      else if (share > 0) edge.push(share)
      sum += share * (x === 0 ? 1 : 2) * (y === 0 ? 1 : 2)
    }
    rows.push({ full, edge })
  }
  const weight = 1 / sum
  return { weight, rows: rows.map((r) => ({ full: r.full, edge: r.edge.map((w) => w * weight) })) }
}

/** Share of the pixel at x, y ≥ 0 inside the disc: exact along x, midpoint rule along y. */
function coverage(x: number, y: number, radius: number): number {
  if (Math.hypot(x + 0.5, y + 0.5) <= radius) return 1
  if (Math.hypot(Math.max(x - 0.5, 0), Math.max(y - 0.5, 0)) >= radius) return 0
  let sum = 0
  for (let p = 0; p < PARTS; p++) {
    const v = y - 0.5 + (p + 0.5) / PARTS
    const half = Math.sqrt(Math.max(radius * radius - v * v, 0))
    sum += x === 0 ? Math.min(2 * half, 1) : Math.min(Math.max(half - (x - 0.5), 0), 1)
  }
  return sum / PARTS
}
