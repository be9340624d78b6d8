/** Repeatable random numbers of the table's own (mulberry32, public domain). */
let shift = 0

/** Other scenes and other noise for every case from here on: what limits were not chosen on. */
export function setSeed(seed: number): void {
  shift = seed
}

export class Chance {
  private state: number

  constructor(seed: number) {
    this.state = ((seed + 7919 * shift) * 2654435761) >>> 0
  }

  /** Uniform, 0 to 1. */
  next(): number {
    this.state = (this.state + 0x6d2b79f5) >>> 0
    let t = this.state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }

  between(low: number, high: number): number {
    return low + (high - low) * this.next()
  }

  /** Normal, σ 1: twelve uniforms less six (central limit). */
  normal(): number {
    let sum = -6
    for (let i = 0; i < 12; i++) sum += this.next()
    return sum
  }
}
