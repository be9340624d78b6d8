/**
 * Grain with a coarse part of known strength, width and mix laid on photographs, three pairs of frames of one view, and measured again.
 *
 *   amplitude   √(share · σ²(L)) of a channel at the tone of some place      size   D of `blotched.ts`
 *   mix   how alike the blotches of two channels are: what they share, in pairs with red with its sign
 */
import { type GrainMeasure, measureGrain } from '../../src/chain/sensor/grain/measure.js'
import { tableAt } from '../../src/chain/sensor/grain/model.js'
import { roundingOf } from '../../src/chain/sensor/grain/rounding.js'
import { type Reading, told } from '../../src/core/index.js'
import { chance } from '../worlds/chance.js'
import type { Blotched } from './blotched.js'
import { toneOf } from './grain.js'
import type { Photograph } from './photographs.js'
import type { Trip } from './row.js'
import { camera, type Path } from './sensor.js'

const PAIRS = 3

function drawn(draw: number): Blotched {
  const share = (c: number) => 0.05 * (0.6 / 0.05) ** (chance(51, draw) + 0.3 * (chance(52, draw, c) - 0.5))
  return {
    size: 4 * (20 / 4) ** chance(53, draw),
    share: [share(0), share(1), share(2)],
    shared: 0.8 * chance(54, draw),
    sign: chance(55, draw) < 0.5 ? 1 : -1,
  }
}

function measured(pictures: readonly Photograph[], draw: number, path: Path) {
  const { image } = pictures[Math.floor(chance(56, draw) * pictures.length)]!
  const coarse = drawn(draw)
  const cam = camera(draw, path, coarse)
  const frame = (i: number) => cam.film(image, 10 * draw + i)
  const samples = Array.from({ length: PAIRS }, (_, i) => ({
    frame: 2 * i,
    image: frame(2 * i),
    after: frame(2 * i + 1),
  }))
  return { cam, coarse, image, found: measureGrain(samples, 1, roundingOf(cam.layout, cam.encoding)) }
}

export function amplitudeTrip(pictures: readonly Photograph[], draw: number, path: Path): Trip {
  const { cam, coarse, image, found } = measured(pictures, draw, path)
  const c = Math.floor(3 * chance(34, draw))
  const level = toneOf(image, cam, draw)[c]!
  const truth = Math.sqrt(coarse.share[c]! * (cam.a * level + cam.b))
  return {
    truth,
    reading: readingOf(found, ({ levels, shown }) => {
      const value = Math.sqrt(
        tableAt(levels, shown.variance[c]!, level) * tableAt(levels, shown.coarse!.share[c]!, level),
      )
      return { value, spread: value * shown.coarse!.spread[c]! }
    }),
  }
}

export function sizeTrip(pictures: readonly Photograph[], draw: number): Trip {
  const { coarse, found } = measured(pictures, draw, 'rgb')
  return {
    truth: coarse.size,
    reading: readingOf(found, ({ shown }) => ({
      value: shown.coarse!.size,
      spread: shown.coarse!.sizeSpread,
    })),
  }
}

export function mixTrip(pictures: readonly Photograph[], draw: number): Trip {
  const { coarse, found } = measured(pictures, draw, 'rgb')
  const pair = Math.floor(3 * chance(57, draw))
  return {
    truth: coarse.shared * (pair < 2 ? coarse.sign : 1),
    reading: readingOf(found, ({ shown }) => ({
      value: shown.coarse!.mix[pair]!,
      spread: shown.coarse!.mixSpread,
    })),
  }
}

function readingOf(
  found: Reading<GrainMeasure>,
  of: (m: GrainMeasure) => { value: number; spread: number },
): Reading<number> {
  if (!told(found)) return found
  if (found.value.shown.coarse === undefined) return { cannotTell: 'no blotches are seen' }
  const { value, spread } = of(found.value)
  return { value, evidence: { ...found.evidence, spread } as typeof found.evidence }
}
