import { describe, expect, it } from 'vitest'
import { emptyImage, uniform } from '../core/index.js'
import { parseShot } from '../shot/index.js'
import type { FitContext } from './context.js'
import { fitAir } from './fitAir.js'

const W = 480
const H = 270
const HORIZON = 120
const AIR = 0.6
const BLACK = 0.02

/**
 * A plain of black and grey patches under an even sky, the near half of it in clear air and the far half behind air that
 * leaves the share `t`: J t + A (1 − t) [koschmieder1924].
 */
function plain(t: number, sky = AIR) {
  const image = emptyImage({ x: 0, y: 0, width: W, height: H })
  for (let i = 0; i < image.data.length; i += 4) {
    const [x, y] = [(i >> 2) % W, Math.floor((i >> 2) / W)]
    const j = uniform(3, 0, x >> 4, y >> 4, 0) < 0.4 ? BLACK : 0.15
    image.data.fill(y < HORIZON ? sky : y < 200 ? j * t + AIR * (1 - t) : j, i, i + 4)
  }
  return image
}

function fitted(t: number, distanceM?: number, sky?: number) {
  const place = { x: 180, y: 130, width: 120, height: 64, frame: 0, ...(distanceM && { distanceM }) }
  const shot = parseShot(
    {
      platefit: 1,
      plate: { file: 'plate.exr' },
      elements: [
        {
          ...{ id: 'dust', file: 'dust.exr', alpha: 'premultiplied', nature: 'reflects' },
          ...{ position: { x: 240, y: 160 }, scale: 1, compareWith: place },
        },
      ],
    },
    'air.shot.json',
  )
  const set = { kind: 'set' }
  const info = {
    ...{ frameCount: 1, layout: { float: true }, encoding: { curve: 'linear' } },
    encodingEvidence: { curve: set, range: set, matrix: set },
  }
  const image = plain(t, sky)
  const c = { shot, sources: { plate: { info } }, samples: [{ frame: 0, image }], half: 'both' }
  const [e] = shot.elements
  if (e === undefined) throw new Error('no element')
  return fitAir(e, c as unknown as FitContext)
}
const why = (fit: ReturnType<typeof fitted>) =>
  'cannotTell' in fit.transmittance ? fit.transmittance.cannotTell : ''

describe('air before a place', () => {
  it('is what its black was made with, within 3 parts in 100', () => {
    const { transmittance } = fitted(0.7, 700)
    if (!('value' in transmittance)) throw new Error(transmittance.cannotTell)
    expect(transmittance.value[0]).toBeGreaterThan(0.68)
    expect(transmittance.value[0]).toBeLessThan(0.72)
  })

  it('cannot be told where nobody says how far the place is: light raises blacks too', () => {
    expect(why(fitted(0.7))).toContain('compareWith.distanceM')
  })

  // ln 50 · 20 m / −ln 0.7 = 219 m of visibility: fog [wmo8].
  it('cannot be told where it would be fog', () => {
    const fit = fitted(0.7, 20)
    expect(why(fit)).toContain('fog of 21')
    expect(fit.placeTransmittance).toEqual([1, 1, 1])
  })

  it('cannot be told where no sky is seen', () => {
    expect(why(fitted(0.7, 700, BLACK))).toContain('no open sky')
  })
})
