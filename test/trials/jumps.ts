/**
 * Hard jumps of the picture: found on the frames on which they are, each followed frame belonging to the picture that it lies in, none
 * carried over a jump. Which frames they are was seen by eye; the trial looks itself for steps between frames that no shift explains.
 */
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { footage, outFolder, say } from './setting.js'
import { type Picture, pictures } from './tracks/match.js'
import { platefit, trackOf } from './tracks/program.js'

const FRAMES = 512
/** First frames after field of view, or sharpness and light, change at once, as between the lenses of a phone; seen by eye. */
const JUMPS = [18, 45, 74, 81, 276, 330, 340]
/** Here it becomes 8 % lighter and hardly sharper, at the end of a zoom: a person sees it, and to miss it is no failure. */
const FAINT = 303

const plate = join(footage, 'plates', 'rooftop-jumps-vfr-360p.mp4')
if (existsSync(plate)) await trial()
else console.log('jumps: skipped, its plate is not there')

async function trial(): Promise<void> {
  const folder = outFolder('jumps')
  const filmed = await pictures(plate, 0, FRAMES)
  const steps = filmed.map((p, f) => (f === 0 ? 0 : step(filmed[f - 1], p)))
  const usual = (f: number) => [-2, -1, 1, 2].map((k) => steps[f + k] ?? 0).toSorted((a, b) => a - b)[2]
  const seen = steps.flatMap((s, f) => (f > 2 && s > 1.6 * usual(f) ? [f] : []))
  platefit(folder, 'new', '--plate', plate, '--out', 'jumps.shot.json')
  console.log(platefit(folder, 'track', 'jumps.shot.json', '--camera', '--id', 'camera').replace(/^/gm, '  '))
  const { frames, jumps } = trackOf(folder, 'jumps.shot.json', 'camera')
  const found = jumps.filter((j) => j < FRAMES)
  const gaps = frames.filter(({ frame, state }) => state === 'bridged' && JUMPS.includes(frame))
  const wide = frames.filter(({ state, spreadPx }) => state === 'bridged' && spreadPx > 2)
  say('jumps', {
    'by eye': JUMPS.join(' '),
    faint: FAINT,
    'by difference': seen.join(' '),
    found: found.join(' '),
    'bridged over': gaps.length,
    'bridged wide': wide.length,
  })
  const clear = found.filter((f) => f !== FAINT)
  process.exitCode = clear.join() === JUMPS.join() && gaps.length + wide.length === 0 ? 0 : 1
}

/** Mean difference of two pictures, 256 steps. */
function step(a: Picture, b: Picture): number {
  return a.data.reduce((sum, v, i) => sum + Math.abs(v - b.data[i]), 0) / a.data.length
}
