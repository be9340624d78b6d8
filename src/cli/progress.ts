import type { Progress } from '../engine/types.js'

/** Least time between two lines on the terminal. */
const PAUSE_MS = 100

/** Shows progress on one terminal line that rewrites itself; does nothing where standard error is no terminal. */
export class ProgressLine {
  #last = 0
  #shown = false
  readonly #to: NodeJS.WriteStream

  constructor(to: NodeJS.WriteStream) {
    this.#to = to
  }

  readonly show = (p: Progress): void => {
    const now = Date.now()
    const often = now - this.#last < PAUSE_MS && p.done < p.total && p.stopping !== true
    if (!this.#to.isTTY || often) return
    this.#last = now
    this.#shown = true
    this.#to.write(`\r${progressText(p).slice(0, (this.#to.columns || 80) - 1)}\x1b[K`)
  }

  /** Takes the line away, so that other text starts clean. */
  clear(): void {
    if (this.#shown) this.#to.write('\r\x1b[K')
    this.#shown = false
  }
}

/** `render  12/240 frames  8.1 frames/s  0:28 left`; of several files which one: `diagnose  smoke.mov (2 of 5)  12/72 frames`. */
export function progressText(p: Progress): string {
  const what = p.stage === 'suit' ? 'elements' : 'frames'
  const parts = [p.stage.padEnd(7), ...(p.item === undefined ? [] : [p.item]), `${p.done}/${p.total} ${what}`]
  if (p.stopping === true) return [...parts, 'stopping'].join('  ')
  if (p.framesPerSecond > 0) parts.push(`${p.framesPerSecond.toFixed(1)} ${what}/s`)
  if (Number.isFinite(p.secondsLeft) && p.done > 0 && p.done < p.total)
    parts.push(`${clock(p.secondsLeft)} left`)
  return parts.join('  ')
}

function clock(seconds: number): string {
  const whole = Math.ceil(seconds)
  const two = (n: number) => String(n).padStart(2, '0')
  const hours = Math.floor(whole / 3600)
  const minutes = Math.floor(whole / 60) % 60
  return hours > 0 ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`
}
