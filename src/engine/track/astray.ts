/** How much of what is seen of a plane on a frame, and went with it before, goes another way now, and how far off it is. */
import type { Astray } from '../../chain/place/motion/seen.js'

export interface Gone {
  /** Goes with the others here. */
  readonly agrees: boolean
  /** Went with them before. */
  readonly known: boolean
  /** How much of its window it has for itself, 0 to 1. */
  readonly share: number
  /** From where the others go, px. */
  readonly off: number
}

export function astrayOf(seen: readonly Gone[]): Omit<Astray, 'frame'> {
  let [going, gone, squares] = [0, 0, 0]
  for (const { agrees, known, share, off } of seen) {
    if (agrees) going += share
    else if (known) {
      gone += share
      squares += share * off * off
    }
  }
  return gone === 0
    ? { share: 0, rmsPx: 0 }
    : { share: gone / (going + gone), rmsPx: Math.sqrt(squares / gone / 2) }
}
