/**
 * One new sample: `after` plus what the way through float lost of `base`, as far as `keep` says. All in code units;
 * `top` is the largest code, infinite for float samples. See `patch.ts`.
 */
export function settle(base: number, after: number, before: number, keep: number, top: number): number {
  if (keep === 1 && after === before && !Number.isNaN(base)) return base
  const lost = keep * (base - before)
  const value = lost - lost === 0 ? after + lost : after
  if (Number.isNaN(value)) return 0
  return top === Number.POSITIVE_INFINITY ? value : Math.min(Math.max(Math.floor(value + 0.5), 0), top)
}
