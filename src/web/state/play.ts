/** Plays the shot at its rate from kept pictures; a picture that is late is waited for, and the true rate says so. */
import { frames } from './frames.js'
import { session } from './session.js'
import { view } from './view.js'
import { wishAt } from './wishes.js'

/** The true rate is taken over so many frames. */
const COUNTED = 12

export function play(): void {
  if (view.get().playing) {
    stop()
    return
  }
  view.set({ playing: true, trueRate: undefined })
  const shown: number[] = []
  let due = performance.now()
  const tick = (now: number) => {
    const { shot } = session.get()
    const { playing, frame } = view.get()
    if (!playing || shot === undefined) return
    requestAnimationFrame(tick)
    if (now < due) return
    const next = (frame + 1) % shot.plate.frames
    const wishes = [wishAt(next), wishAt(next, 'against')]
    if (wishes.some((w) => w !== undefined && frames.get(w) === undefined)) return
    const every = 1000 / shot.plate.rate
    due = now - due > every ? now + every : due + every
    shown.push(now)
    if (shown.length > COUNTED) shown.shift()
    const [first = now] = shown
    const trueRate = shown.length > 2 ? ((shown.length - 1) * 1000) / (now - first) : undefined
    view.set({ frame: next, trueRate })
  }
  requestAnimationFrame(tick)
}

export function stop(): void {
  view.set({ playing: false, trueRate: undefined })
}
