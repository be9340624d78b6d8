const { fround } = Math

/** A grid of nodes over a frame, and several planes of values at them, in single precision. */
interface Nodes {
  readonly frame: { readonly x: number; readonly y: number }
  readonly columns: number
  readonly rows: number
  /** Pixels between nodes. */
  readonly step: number
}

/** A plane's value at a pixel: linear between rows of nodes first, then between columns. */
export function valueAt(nodes: Nodes, values: Float32Array, plane: number, x: number, y: number): number {
  const { columns, rows, step, frame } = nodes
  const i = Math.floor((x - frame.x) / step)
  const j = Math.floor((y - frame.y) / step)
  const first = plane * columns * rows
  const down = fround(((y - frame.y) % step) / step)
  const row = (k: number) => {
    const above = values[first + j * columns + k]
    const below = values[first + Math.min(j + 1, rows - 1) * columns + k]
    return mix(above, below, down)
  }
  return mix(row(i), row(Math.min(i + 1, columns - 1)), fround(((x - frame.x) % step) / step))
}

function mix(a: number, b: number, t: number): number {
  return fround(a + fround(fround(b - a) * t))
}
