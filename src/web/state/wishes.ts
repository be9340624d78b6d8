/** What of the shot should be on screen now, and what may come next. */
import { frames, type Wish } from './frames.js'
import { session } from './session.js'
import { view } from './view.js'

/** Around a frame that stands, so many are made ready. */
const AHEAD = 12
const BEHIND = 4

export function wishAt(number: number, of: 'shown' | 'against' = 'shown'): Wish | undefined {
  const { shot } = session.get()
  const { shown, against, width, stops, draft } = view.get()
  const what = of === 'shown' ? shown : against
  return shot === undefined || what === undefined
    ? undefined
    : { shot, number, view: what, width, stops, draft }
}

/** Keeps the pictures coming while something changes. @returns stops it */
export function wishOnChange(): () => void {
  const ask = () => {
    const { frame, playing, draft } = view.get()
    const count = session.get().shot?.plate.frames ?? 0
    const steps = playing ? count : AHEAD + BEHIND
    const near = Array.from({ length: Math.min(steps, count) }, (_, i) =>
      playing ? (frame + i) % count : i < AHEAD ? frame + i + 1 : frame - (i - AHEAD + 1),
    )
    const both = (number: number) =>
      [wishAt(number), wishAt(number, 'against')].filter((w) => w !== undefined)
    const inside = near.filter((n) => n >= 0 && n < count)
    frames.want(both(frame), draft === undefined ? inside.flatMap(both) : [])
  }
  const ends = [session.subscribe(ask), view.subscribe(ask)]
  return () => {
    for (const end of ends) end()
  }
}
