import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Region } from '../../../core/index.js'
import type { Seen, SeenElement } from '../../compare.js'
import { plateBend } from '../../lens/bend.js'
import { lookAtBorder } from './compare.js'

const frame: Region = { x: 0, y: 0, width: 320, height: 200 }
const box = { left: 20, top: 15, right: 301, bottom: 186 }
const K = -0.04

/** Brown's first term by hand: whether a pixel shows a part of the box through the lens. */
function shows(x: number, y: number): boolean {
  let [u, v] = [(x + 0.5 - 160) / 100, (y + 0.5 - 100) / 100]
  const [ud, vd] = [u, v]
  for (let i = 0; i < 50; i++) {
    const radial = 1 + K * (u * u + v * v)
    u = ud / radial
    v = vd / radial
  }
  const [sx, sy] = [160 + 100 * u, 100 + 100 * v]
  return sx > box.left && sx < box.right && sy > box.top && sy < box.bottom
}

function looked(bend: SeenElement['bend']): number {
  const code: FloatImage = emptyImage(frame)
  const alpha = new Float32Array(frame.width * frame.height)
  for (let y = 0, p = 0; y < frame.height; y++) {
    for (let x = 0; x < frame.width; x++, p++) {
      if (!shows(x, y)) continue
      alpha[p] = 1
      code.data.set([0.3, 0.3, 0.3, 1], 4 * p)
    }
  }
  const empty = emptyImage(frame)
  const seen: Seen = {
    frame: 0,
    plate: empty,
    rendered: code,
    predicted: code,
    plateCode: empty,
    renderedCode: code,
    plateAfter: undefined,
    renderedAfter: undefined,
    keep: alpha.map((a) => 1 - a),
    touched: Uint8Array.from(alpha),
  }
  return lookAtBorder(seen, { id: 'a', alpha, light: alpha, region: frame, box, bend, holdout: undefined })
    .step
}

describe('the cut border of an element behind a lens that bends', () => {
  it('is looked for where the lens draws it', () => {
    expect(looked(plateBend(frame, { form: 'brown-conrady', terms: [K, 0, 0, 0, 0] }))).toBeCloseTo(0.3, 5)
    expect(looked(plateBend(frame, { form: 'poly5', terms: [K, 0] }))).toBeCloseTo(0.3, 5)
    // Where it would lie without the lens, runs of the side cross it at most in part.
    expect(looked(undefined)).toBeLessThan(0.2)
  })
})
