/** What a person drew over a file before a screen, one value a pixel: what is none of it, what is surely the element. */
export type Areas = Uint8Array

export const FREE = 0
/** Beyond the screen, stands, marks: nothing of it stays. */
export const OUTSIDE = 1
/** Covered, whatever its colour. */
export const COVERED = 2

type Polygon = readonly (readonly [number, number])[]

/**
 * By the pixels' middles, even-odd; what is covered goes over what is outside.
 *
 * @returns undefined where nothing was drawn
 */
export function areasOf(
  { width, height }: { readonly width: number; readonly height: number },
  outside: readonly Polygon[],
  covered: readonly Polygon[],
): Areas | undefined {
  if (outside.length + covered.length === 0) return undefined
  const areas = new Uint8Array(width * height)
  const fill = (polygon: Polygon, value: number) => {
    for (let y = 0; y < height; y++) {
      const crossed = crossings(polygon, y + 0.5)
      for (let k = 0; k + 1 < crossed.length; k += 2) {
        const from = Math.max(Math.ceil((crossed[k] as number) - 0.5), 0)
        const to = Math.min(Math.ceil((crossed[k + 1] as number) - 0.5), width)
        if (to > from) areas.fill(value, y * width + from, y * width + to)
      }
    }
  }
  for (const p of outside) fill(p, OUTSIDE)
  for (const p of covered) fill(p, COVERED)
  return areas
}

/** Where a line of pixels crosses the sides, ascending. */
function crossings(polygon: Polygon, y: number): number[] {
  const out: number[] = []
  polygon.forEach(([x0, y0], i) => {
    const [x1, y1] = polygon[(i + 1) % polygon.length] as readonly [number, number]
    if (y0 <= y !== y1 <= y) out.push(x0 + ((y - y0) * (x1 - x0)) / (y1 - y0))
  })
  return out.sort((a, b) => a - b)
}
