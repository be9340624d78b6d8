/** Pixels of `from`, and those to which at most `deepest` steps lead from it without crossing one of `barred`. */
export function reached(
  from: Uint8Array,
  barred: ArrayLike<number>,
  { width, height }: { width: number; height: number },
  deepest: number,
): Uint8Array {
  const steps = new Int32Array(from.length).fill(-1)
  const queue = new Int32Array(from.length)
  let end = 0
  const add = (p: number, step: number) => {
    steps[p] = step
    queue[end++] = p
  }
  const isNew = (p: number) => steps[p] === -1 && barred[p] === 0
  for (let p = 0; p < from.length; p++) if (from[p] === 1) add(p, 0)
  for (let k = 0; k < end; k++) {
    const p = queue[k] as number
    const step = (steps[p] as number) + 1
    if (step > deepest) break
    const [x, y] = [p % width, Math.floor(p / width)]
    if (x > 0 && isNew(p - 1)) add(p - 1, step)
    if (x < width - 1 && isNew(p + 1)) add(p + 1, step)
    if (y > 0 && isNew(p - width)) add(p - width, step)
    if (y < height - 1 && isNew(p + width)) add(p + width, step)
  }
  const out = new Uint8Array(steps.length)
  for (let p = 0; p < out.length; p++) out[p] = steps[p]! >= 0 ? 1 : 0
  return out
}
