import { describe, expect, it } from 'vitest'
import { allocateFrame, type ColourEncoding, type NativeFrame, type PixelLayout } from '../../core/index.js'
import { borderFinding } from './border.js'
import { BorderMeter } from './borderMeter.js'

const encoding: ColourEncoding = {
  range: 'full',
  matrix: 'rgb',
  curve: 'srgb',
  primaries: 'bt709',
  siting: 'centre',
}
const W = 200
const H = 120

/** A disc of radius 20 at x on the middle line; 8 bits, on black or with alpha. */
function disc(x: number, alpha: boolean, light = 200): NativeFrame {
  const layout: PixelLayout = { family: 'rgb', bits: 8, float: false, subX: 0, subY: 0, alpha }
  const frame = allocateFrame(layout, W, H)
  for (let p = 0; p < W * H; p++) {
    const inside = Math.hypot((p % W) + 0.5 - x, Math.floor(p / W) + 0.5 - 60) < 20
    for (const [c, plane] of frame.planes.entries()) plane.data[p] = inside ? (c === 3 ? 255 : light) : 0
  }
  return frame
}

function looked(alpha: boolean, light?: number) {
  const info = { encoding, layout: disc(0, alpha).layout }
  const meter = new BorderMeter(info)
  // It moves to the right by 10 px a frame: its rim meets the side at x = 180, from frame 18 on (and again none at 220).
  for (let frame = 4; frame < 24; frame++) meter.add(frame, disc(10 * frame, alpha, light))
  return meter
}

describe('border contact over a clip', () => {
  it('names the side and every frame on which it is cut, by cover', () => {
    const { frames, sentence, numbers } = borderFinding(looked(true).withAlpha(false))
    // Reaches the outermost three columns from x + 20 > 197.
    expect(frames).toEqual([18, 19, 20, 21])
    expect(sentence).toMatch(/right \(3\d % of the side\), on frames 18–21/)
    // The diameter: 40 of 120 pixels.
    expect(numbers.right).toBeCloseTo(40 / 120, 1)
    expect(numbers.looked).toBe(20)
  })

  it('and by light on black', () => {
    const zero = [0, 0, 0] as const
    const contacts = looked(false).onBlack({ floor: zero, noise: zero }, 0.58)
    expect(borderFinding(contacts).frames).toEqual([18, 19, 20, 21])
  })

  it('is none of a glow of straight alpha', () => {
    const info = { encoding, layout: disc(0, true).layout }
    const meter = new BorderMeter(info)
    const frame = disc(200, true)
    frame.planes[3]?.data.fill(0)
    meter.add(0, frame)
    expect(borderFinding(meter.withAlpha(false)).verdict).toBe('fine')
    expect(borderFinding(meter.withAlpha(true)).verdict).toBe('fault')
  })
})
