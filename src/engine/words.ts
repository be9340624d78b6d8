/** Shares for people to read. */

/** `56 %`, `21.1 %`, `4.2 %`, `0.45 %`: a tenth of a per cent, two digits below one; any share, 0 as well. */
export function percent(share: number): string {
  const p = 100 * share
  return `${Number(Math.abs(p) >= 1 ? p.toFixed(1) : p.toPrecision(2))} %`
}
