/**
 * `npm run roundtrips [-- --json] [-- --draws N] [-- --from N] [-- --only WORD]`: known amounts of each phenomenon put into textured
 * frames, measured and held against what the meter says of itself. --json: a row a line. --from: the first draw, for others than a meter
 * was made on.
 */
import { parseArgs } from 'node:util'
import { LIMIT as ABERRATION_LIMIT, aberrationTrip } from './aberration.js'
import { blurTrip, codedBlurTrip, LIMIT } from './blur.js'
import { amplitudeTrip, mixTrip, sizeTrip } from './coarse.js'
import { DISTORTION_LIMIT, distortionTrip } from './distortion.js'
import { lagTrip, ownTrip, sigmaTrip } from './grain.js'
import { panTrip } from './pan.js'
import { photographs } from './photographs.js'
import { fine, type Row, rowOf, type Trip } from './row.js'
import { SHARPENED_LIMIT, sharpenedBlurTrip } from './sharpenedBlur.js'
import { OVERSHOOT_LIMIT, sharpeningTrip } from './sharpening.js'
import { SHUTTER_LIMIT, shutterTrip } from './shutter.js'
import { CHROMA_LIMIT, softChromaTrip } from './softChroma.js'

const flag = { type: 'boolean', default: false } as const
const { values: asked } = parseArgs({
  options: {
    ...{ json: flag, each: flag },
    ...{ draws: { type: 'string', default: '200' }, from: { type: 'string', default: '0' } },
    only: { type: 'string', default: '' },
  },
})
const trips: readonly (readonly [
  string,
  number,
  (draw: number) => Trip | Promise<Trip>,
  (truth: number) => number,
])[] = [
  ['blur radius', LIMIT, (draw) => blurTrip(pictures, draw), (truth) => truth],
  ['distortion k1', DISTORTION_LIMIT, (draw) => distortionTrip(pictures, draw), Math.abs],
  ['lateral aberration at the corner', ABERRATION_LIMIT, (draw) => aberrationTrip(pictures, draw), () => 1],
  [
    'lateral aberration at the corner, 4:2:0',
    ABERRATION_LIMIT,
    (draw) => aberrationTrip(pictures, draw, true),
    () => 1,
  ],
  ['shutter angle', SHUTTER_LIMIT, (draw) => shutterTrip(pictures, draw), () => 1],
  ['shutter angle, of a pan', SHUTTER_LIMIT, (draw) => panTrip(wide, draw), () => 1],
  ['blur radius, coded', LIMIT, (draw) => codedBlurTrip(pictures, draw), (truth) => truth],
  ['noise σ', 0.03, (draw) => sigmaTrip(pictures, draw, 'rgb'), (truth) => truth],
  ['noise σ, 8-bit 4:2:0', 0.08, (draw) => sigmaTrip(pictures, draw, '420'), (truth) => truth],
  ['own noise σ of an element', 0.2, (draw) => ownTrip(pictures, draw), (truth) => truth],
  ['coarse grain', 0.1, (draw) => amplitudeTrip(pictures, draw, 'rgb'), (truth) => truth],
  ['coarse grain, 8-bit 4:2:0', 0.1, (draw) => amplitudeTrip(pictures, draw, '420'), (truth) => truth],
  ['coarse grain, size', 0.2, (draw) => sizeTrip(pictures, draw), (truth) => truth],
  ['coarse grain, mix', 0.1, (draw) => mixTrip(pictures, draw), () => 1],
  ['overshoot', OVERSHOOT_LIMIT, (draw) => sharpeningTrip(wide, draw), (truth) => truth],
  ['overshoot of none', 0.01, (draw) => sharpeningTrip(wide, draw, true), () => 1],
  ['blur radius, sharpened', SHARPENED_LIMIT, (draw) => sharpenedBlurTrip(wide, draw), (truth) => truth],
  ['chroma softness', CHROMA_LIMIT, (draw) => softChromaTrip(pictures, draw), (truth) => truth],
  ['noise lag-1', 0.03, (draw) => lagTrip(pictures, draw), () => 1],
]
const chosen = trips.filter(([name]) => name.includes(asked.only))
if (chosen.length === 0) {
  const names = trips.map(([name]) => `  ${name}`).join('\n')
  console.error(`No round trip's name has "${asked.only}" in it. There are:\n${names}`)
  process.exit(2)
}
const pictures = await photographs()
const wide = await photographs(2)
const rows: Row[] = []
for (const [name, limit, trip, unit] of chosen) {
  const made: Trip[] = []
  for (let k = 0; k < Number(asked.draws); k++) {
    const one = await trip(Number(asked.from) + k)
    made.push(one)
    if (asked.each) console.error(JSON.stringify(one))
  }
  const row = rowOf(name, limit, made, unit)
  rows.push(row)
  if (asked.json) console.log(JSON.stringify(row))
}
if (!asked.json) console.table(rows)
process.exitCode = rows.every(fine) ? 0 : 1
