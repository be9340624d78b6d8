/** Border contact over a file: whether its own frame cuts the element off, on which sides and frames. */
import type { BorderContact } from '../../chain/place/border/measure.js'
import { percent } from '../words.js'
import { type Finding, rounded } from './finding.js'
import { listed } from './runs.js'

export interface Contact extends BorderContact {
  readonly frame: number
}

const SIDES = ['top', 'right', 'bottom', 'left'] as const

export function borderFinding(contacts: readonly Contact[]): Finding {
  const touched = contacts.filter((c) => c.touches)
  const cuts = SIDES.map((side) => {
    const frames = touched.filter((c) => c[side] > 0).map((c) => c.frame)
    return { side, frames, most: Math.max(0, ...touched.map((c) => c[side])) }
  }).filter((c) => c.most > 0)
  const base = {
    code: 'diagnose.border',
    method: 'cover or light of 3×3 cells along the sides',
    numbers: {
      ...Object.fromEntries(cuts.flatMap((c) => [[c.side, rounded(c.most)]])),
      looked: contacts.length,
    },
  }
  if (touched.length === 0)
    return {
      ...base,
      verdict: 'fine',
      sentence: 'Its frame cuts nothing off.',
      confidence: 0.85,
      frames: contacts.map((c) => c.frame),
    }
  const frames = touched.map((c) => c.frame)
  const sides = cuts.map((c) => c.side)
  const same = cuts.every((c) => c.frames.length === frames.length)
  const on = (f: readonly number[]) => (contacts.length === 1 ? '' : `, on ${words(f, contacts.length)}`)
  const places = cuts.map((c) => `${c.side} (${percent(c.most)} of the side${same ? '' : on(c.frames)})`)
  return {
    ...base,
    verdict: 'fault',
    sentence: `Its own frame cuts it off at ${places.join(', ')}${same ? on(frames) : ''}.`,
    confidence: Math.max(...touched.map((c) => c.strongest)) > 0.1 ? 0.85 : 0.7,
    frames,
    remedy: `Place it so that ${sides.length === 1 ? `its ${sides[0]} lies` : `these sides lie`} outside the plate or behind something, or use only frames that keep clear of ${sides.length === 1 ? 'it' : 'them'}.`,
  }
}

function words(frames: readonly number[], looked: number): string {
  return frames.length === looked ? `all ${looked} frames looked at` : `frames ${listed(frames)}`
}
