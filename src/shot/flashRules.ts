import type { ProblemDetail } from '../core/index.js'
import type { Shot } from './schema.js'

/** Faults of pulses of light: what their rows follow from, and what they cannot be besides. */
export function flashFaults({ elements, camera }: Shot): ProblemDetail[] {
  return elements.flatMap((e, i): ProblemDetail[] => {
    if (e.flash === undefined) return []
    const where = `elements[${i}].flash`
    const readout: ProblemDetail = {
      code: 'shot.flash-needs-readout',
      what: `Nothing says how long the camera takes to read its rows, so not which of them see the light of "${e.id}"`,
      where,
      expected: 'camera.readoutMs',
      remedy: 'Write it into the document: maker or tests tell it, often 8 to 33 ms. Or leave `flash` out.',
    }
    const time: ProblemDetail = {
      code: 'shot.flash-and-time',
      what: `The element "${e.id}" is one pulse of light and has a course of its own besides`,
      where,
      expected: '"flash" or "time"',
      received: 'both',
    }
    return [...(camera.readoutMs === undefined ? [readout] : []), ...(e.time === undefined ? [] : [time])]
  })
}
