/**
 * Fields: whether the odd lines of a frame were seen at another moment than the even ones, and which came first.
 *
 * T are a frame's even lines (the top field), B its odd ones; D is the mean absolute difference of a line from the mean of the two
 * lines beside it, in shares of the code range.
 *
 *   own = D(B_f, T_f)     next = D(B_{f−1}, T_f)     cross = D(B_f, T_{f−1})
 *
 * Whole frames: next = cross, whatever moves. Top field first: B_{f−1} and T_f are half a frame apart, B_f and T_{f−1} one and a half:
 * next < cross. Bottom field first: the reverse. Only moving pictures tell. Follows from the definition of interlacing ([bt601]).
 */
import type { Plane } from '../../core/index.js'
import { median } from '../../core/index.js'
import { cannotTell, type Finding, rounded } from './finding.js'
import type { Step } from './motion.js'
import { STILL } from './runs.js'

const CODE = 'diagnose.fields'
const METHOD = 'each field against the fields before and after it'
/** Relative lead of one order over the other from which a frame counts. */
const LEAD = 0.06
const LEAST = 4
const REMEDY =
  'Make whole frames of its fields (one a field keeps all motion), or take out the pulldown, and use that file.'

export interface FieldStep {
  readonly own: number
  readonly next: number
  readonly cross: number
}

export function fieldStep(last: Plane, now: Plane, span: number): FieldStep {
  const { width: w, height: h, data: d } = now
  const b = last.data
  // Every line pair of a small picture, some of a large one; along the lines every fourth sample.
  const step = 2 * Math.max(1, Math.floor(h / 540))
  const along = w > 640 ? 4 : 2
  let [own, next, cross, n] = [0, 0, 0, 0]
  for (let y = 1; y + 1 < h; y += step) {
    for (let i = y * w; i < (y + 1) * w; i += along) {
      const [bottom, bottomBefore] = [d[i] as number, b[i] as number]
      const top = ((d[i - w] as number) + (d[i + w] as number)) / 2
      const topBefore = ((b[i - w] as number) + (b[i + w] as number)) / 2
      own += Math.abs(bottom - top)
      next += Math.abs(bottomBefore - top)
      cross += Math.abs(bottom - topBefore)
      n++
    }
  }
  const scale = n === 0 ? 0 : 1 / (n * span)
  return { own: own * scale, next: next * scale, cross: cross * scale }
}

/** @param tagged the order that the file's own frames state; absent where they call themselves whole */
export function fieldsFinding(
  steps: readonly Step[],
  looked: readonly number[],
  tagged?: 'top' | 'bottom',
): Finding {
  const leads = steps.flatMap((s) => {
    const f = s.fields
    if (f === undefined || s.same || (s.one ?? 0) < STILL || f.next + f.cross === 0) return []
    return [(2 * (f.cross - f.next)) / (f.cross + f.next)]
  })
  const lead = leads.length === 0 ? 0 : median(leads)
  const firm = leads.filter((l) => Math.abs(l) > LEAD && Math.sign(l) === Math.sign(lead)).length
  const numbers = { lead: rounded(lead), movingFrames: leads.length, firmFrames: firm }
  const base = { code: CODE, frames: looked, method: METHOD, numbers }
  const order = lead > 0 ? 'top' : 'bottom'
  const seen = leads.length >= LEAST && firm >= 0.8 * leads.length
  if (tagged !== undefined) {
    const wrong = seen && order !== tagged
    return {
      ...base,
      verdict: 'fault',
      sentence: `Its frames are interlaced, the ${tagged} field first${wrong ? `, but they move as with the ${order} one first` : seen ? ', and they move so' : ' by their own flag; too little moves to prove it'}.`,
      remedy: REMEDY,
      confidence: seen ? 0.95 : 0.8,
    }
  }
  if (leads.length < LEAST)
    return cannotTell(CODE, 'Too little moves to tell whole frames from fields.', METHOD, looked, numbers)
  if (seen)
    return {
      ...base,
      verdict: 'fault',
      sentence: `Its frames call themselves whole, but are interlaced, the ${order} field first: lines in turn show two moments.`,
      remedy: REMEDY,
      confidence: Math.abs(lead) > 0.2 ? 0.9 : 0.75,
    }
  if (firm > 0.3 * leads.length)
    return cannotTell(
      CODE,
      'Some moving frames look woven from two fields, others not.',
      METHOD,
      looked,
      numbers,
    )
  return {
    ...base,
    verdict: 'fine',
    sentence: 'Its frames are whole: no field is ahead of the other.',
    confidence: 0.8,
  }
}
