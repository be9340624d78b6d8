import { access } from 'node:fs/promises'
import { resolve } from 'node:path'
import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage } from '../../core/index.js'
import { openSource } from '../../media/index.js'
import { linearFrame } from '../samples.js'
import { findKey, isKeyable, KeyMeter } from './key.js'
import { keyGroundOf } from './keyGround.js'

const W = 192
const H = 108

function painted(paint: (x: number, y: number) => readonly [number, number, number]): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: W, height: H })
  for (let y = 0; y < H; y++) for (let x = 0; x < W; x++) image.data.set([...paint(x, y), 1], 4 * (y * W + x))
  return image
}

/** A wall lit ± `stops` from left to right, a grey figure before it. */
const wall = (rgb: readonly number[], stops: number, figure = 40) =>
  painted((x, y) => {
    if (Math.abs(x - 96) < figure / 2 && y > 30) return [0.3, 0.25, 0.2]
    const k = 2 ** (stops * ((2 * x) / (W - 1) - 1))
    return [rgb[0]! * k, rgb[1]! * k, rgb[2]! * k]
  })

/** Name of the ground to key, when there is one. */
const keyOf = (image: FloatImage) => {
  const { best } = findKey([image])
  return best !== undefined && isKeyable(best) ? best.colour : undefined
}

const found = (image: FloatImage) => {
  const meter = new KeyMeter()
  meter.add(0, image)
  return meter.finding()
}

describe('key colour', () => {
  it.each([
    ['green', [0.03, 0.4, 0.06]],
    ['yellow-green', [0.45, 0.5, 0.02]],
    // sRGB 0, 71, 187 in light by IEC 61966-2-1.
    ['blue', [0.002, 0.063, 0.497]],
  ] as const)('%s is found by its name', (colour, rgb) => {
    expect(keyOf(wall(rgb, 0.2))).toBe(colour)
    expect(found(wall(rgb, 0.2)).sentence).toContain(`A ${colour} ground`)
  })

  it('has the unevenness that was painted', () => {
    // A ramp in stops from −s to s: the 10 % and 90 % quantiles lie at ∓0.8 s.
    for (const s of [0.1, 0.4, 0.75]) {
      const k = keyGroundOf(wall([0.03, 0.4, 0.06], s, 0))
      expect(k?.halfRange).toBeCloseTo(0.8 * s, 2)
      expect(k?.share).toBe(1)
      expect(k?.border).toEqual([1, 1, 1, 1])
    }
    expect(found(wall([0.03, 0.4, 0.06], 0.75))).toMatchObject({
      verdict: 'fault',
      sentence: expect.stringContaining('uneven'),
      remedy: expect.stringContaining('half a stop'),
    })
    expect(found(wall([0.03, 0.4, 0.06], 0.4)).verdict).toBe('fine')
  })

  it('tells where the frame sees past the ground, and which frames are clean', () => {
    const meter = new KeyMeter()
    meter.add(3, wall([0.03, 0.4, 0.06], 0.1, 0))
    meter.add(
      4,
      painted((x, y) => (x > 150 ? [0.4, 0.4, 0.4] : y > 200 ? [0, 0, 0] : [0.03, 0.4, 0.06])),
    )
    const { sentence, numbers } = meter.finding()
    expect(numbers.clean).toEqual([3])
    expect(sentence).toContain('right on frames 4')
    expect(sentence).not.toContain('left')
  })

  it('is not leaves: green, but of another light from place to place', () => {
    const leaves = painted((x, y) => {
      const k = 0.25 * 4 ** (Math.sin(x * 0.21) * Math.cos(y * 0.27 + Math.sin(x * 0.05)))
      return [0.3 * k, k, 0.1 * k]
    })
    expect(keyOf(leaves)).toBeUndefined()
    expect(found(leaves)).toMatchObject({ verdict: 'fine', sentence: expect.stringContaining('leaves') })
  })

  it('is not a clear sky: daylight scattered by λ⁻⁴ (612, 549, 465 nm: primaries of BT.709)', () => {
    const sky = (465 / 549) ** 4
    const red = (465 / 612) ** 4
    const look = painted((_, y) => (y < 70 ? [0.8 * red, 0.8 * sky, 0.8] : [0.2, 0.18, 0.15]))
    expect(keyOf(look)).toBeUndefined()
    expect(found(look).verdict).not.toBe('fault')
  })

  it('is not there in grey', () => {
    expect(found(painted(() => [0.2, 0.2, 0.2])).sentence).toContain('no key colour')
    expect(findKey([]).best).toBeUndefined()
  })
})

const footage = process.env.PLATEFIT_FOOTAGE ?? resolve(import.meta.dirname, '../../../../shared/footage')
const there = await access(footage).then(
  () => true,
  () => false,
)

describe.skipIf(!there)('key colour of real footage (skipped where it is absent)', () => {
  it('the wall is a yellow-green ground, seen past at 17 s, alone at 40 s', async () => {
    const source = await openSource(resolve(footage, 'green/wall-320x192.mp4'))
    const meter = new KeyMeter()
    for (const first of [0, 680, 1200])
      for await (const f of source.frames(first, 1)) meter.add(first, linearFrame(f, source.info.encoding))
    await source.close()
    const { sentence, numbers } = meter.finding()
    // Looked at by eye: a curtain and a door on frame 680, but for a shoulder's tip the wall alone on 1200.
    expect(sentence).toContain('yellow-green')
    expect(sentence).toContain('not there on frames 680')
    expect(numbers.clean).toEqual([1200])
  })

  it.each(['green/pm_lemur.png', 'green/pm_lemur_background.png', 'exr/Rec709.exr'])(
    '%s has none',
    async (name) => {
      const source = await openSource(resolve(footage, name))
      for await (const f of source.frames(0, 1))
        expect(keyOf(linearFrame(f, source.info.encoding))).toBeUndefined()
      await source.close()
    },
  )
})
