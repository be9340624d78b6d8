/**
 * Small faint islands: noise that the screen's fit left (a codec's about what moves), and as shallow dents in what is solid. A wisp that
 * belongs to something hangs on it, or is larger.
 *
 *   speck   joined pixels (eight neighbours) of α above 0, none above 0.25, at most 64 u² of them: become 0
 *   dent    the same of α below 1, none below 0.75: become 1
 *
 *   u  `unitOf`. Limits are choices.
 */
const FAINT = 0.25
const LARGEST = 64

/** In place. */
export function withoutSpecks(
  alpha: Float32Array,
  size: { readonly width: number; readonly height: number },
  unit: number,
): void {
  cleared(alpha, size, LARGEST * unit * unit, 0)
  cleared(alpha, size, LARGEST * unit * unit, 1)
}

function cleared(
  alpha: Float32Array,
  { width, height }: { readonly width: number; readonly height: number },
  largest: number,
  to: 0 | 1,
): void {
  const seen = new Uint8Array(alpha.length)
  const part: number[] = []
  for (let from = 0; from < alpha.length; from++) {
    if (seen[from] === 1 || alpha[from] === to) continue
    part.length = 0
    part.push(from)
    seen[from] = 1
    let most = 0
    for (let k = 0; k < part.length; k++) {
      const p = part[k] as number
      most = Math.max(most, Math.abs((alpha[p] as number) - to))
      const [x, y] = [p % width, Math.floor(p / width)]
      for (let v = Math.max(y - 1, 0); v <= Math.min(y + 1, height - 1); v++)
        for (let u = Math.max(x - 1, 0); u <= Math.min(x + 1, width - 1); u++) {
          const q = v * width + u
          if (seen[q] === 1 || alpha[q] === to) continue
          seen[q] = 1
          part.push(q)
        }
    }
    if (most <= FAINT && part.length <= largest) for (const p of part) alpha[p] = to
  }
}
