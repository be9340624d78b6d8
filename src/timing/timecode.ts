/**
 * Timecode as an address of frames.
 *
 *   non-drop   n = ((h · 60 + m) · 60 + s) · F + f                       F nominal rate: 24, 25, 30, 60
 *   drop       n less 2 · F/30 for each minute but every tenth           29.97 and 59.94 only
 *
 * Source: [st12-1]: drop-frame counting.
 */
import { Problem } from '../core/index.js'

export interface FrameRate {
  readonly num: number
  readonly den: number
}

/** `01:00:00:00`, or `01:00:00;00` for drop-frame, moved on by whole frames; wraps after 24 hours. */
export function addFrames(timecode: string, frames: number, rate: FrameRate): string {
  const drop = timecode.includes(';')
  return toTimecode(toFrames(timecode, rate) + frames, rate, drop)
}

/**
 * Frames since 00:00:00:00.
 *
 * @throws Problem `timing.bad-timecode` when the text is no timecode of this rate, dropped numbers included
 */
export function toFrames(timecode: string, rate: FrameRate): number {
  const fps = nominal(rate)
  const parts = /^(\d{2}):(\d{2}):(\d{2})[:;](\d{2,3})$/.exec(timecode)?.slice(1).map(Number)
  const [h = 0, m = 0, s = 0, f = 0] = parts ?? []
  const lost = timecode.includes(';') ? dropped(fps) : 0
  if (
    parts === undefined ||
    m > 59 ||
    s > 59 ||
    f >= fps ||
    (lost > 0 && s === 0 && m % 10 !== 0 && f < lost)
  ) {
    throw new Problem({
      code: 'timing.bad-timecode',
      what: 'This is no timecode of the rate',
      expected: `hh:mm:ss:ff with frames below ${fps}${lost > 0 ? ', without the dropped numbers' : ''}`,
      received: timecode,
    })
  }
  const minutes = 60 * h + m
  return (60 * minutes + s) * fps + f - lost * (minutes - Math.floor(minutes / 10))
}

/** Timecode of frame `n` since midnight. */
export function toTimecode(n: number, rate: FrameRate, drop: boolean): string {
  const fps = nominal(rate)
  const lost = drop ? dropped(fps) : 0
  const tenMinutes = 600 * fps - 9 * lost
  const day = 144 * tenMinutes
  let count = ((n % day) + day) % day
  if (lost > 0) {
    const tens = Math.floor(count / tenMinutes)
    const rest = count % tenMinutes
    count += 9 * lost * tens + (rest >= lost ? lost * Math.floor((rest - lost) / (60 * fps - lost)) : 0)
  }
  const two = (v: number) => String(v).padStart(2, '0')
  const seconds = Math.floor(count / fps)
  const clock = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60].map(two).join(':')
  return `${clock}${drop ? ';' : ':'}${two(count % fps)}`
}

function nominal(rate: FrameRate): number {
  return Math.round(rate.num / rate.den)
}

/** Frame numbers left out at the head of a minute. */
function dropped(fps: number): number {
  return fps % 30 === 0 ? fps / 15 : 0
}
