import { describe, expect, it } from 'vitest'
import { placeAt, scaleFromSize } from './model.js'

describe('scale from a real size', () => {
  // px = f/w · W · S/D, by hand.
  it.each([
    [1.8, 10, 50, 36, 3840, 960],
    [1.8, 5, 35, 24.89, 4096, 2073.507],
    [1, 100, 85, 36, 1920, 45.333],
  ])('%f m at %f m, %f mm on %f mm and %i px: %f px', (size, away, focal, sensor, width, px) => {
    expect(scaleFromSize(size, away, 1, width, sensor, focal)).toBeCloseTo(px, 3)
    expect(720 * scaleFromSize(size, away, 720, width, sensor, focal)).toBeCloseTo(px, 3)
  })

  it('says which facts are missing', () => {
    expect(() => scaleFromSize(1.8, 10, 720, 3840, undefined, 50)).toThrow(/camera/)
    expect(() => scaleFromSize(1.8, 10, 720, 3840, 36, undefined)).toThrow(/focalLengthMm/)
  })
})

describe('placement', () => {
  const keys = [
    { frame: 10, dx: 0, dy: 4, scale: 1 },
    { frame: 20, dx: 40, dy: 4, scale: 2 },
  ]
  const p = { x: 100, y: 50, scale: 0.5, keys }
  const centre = (frame: number) => {
    const m = placeAt(p, frame, 64, 32)
    return [m.originX + 32 * m.scaleX, m.originY + 16 * m.scaleY, m.scaleX]
  }

  it('puts the centre where the document says, linear between keys and held outside', () => {
    expect(centre(0)).toEqual([100, 54, 0.5])
    expect(centre(10)).toEqual([100, 54, 0.5])
    expect(centre(15)).toEqual([120, 54, 0.75])
    expect(centre(20)).toEqual([140, 54, 1])
    expect(centre(99)).toEqual([140, 54, 1])
  })

  it('without keys stays where it is', () => {
    const m = placeAt({ ...p, keys: [] }, 7, 64, 32)
    expect(m).toEqual({ scaleX: 0.5, scaleY: 0.5, originX: 84, originY: 42 })
  })
})
