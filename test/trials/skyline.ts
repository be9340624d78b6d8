/**
 * Distant smoke on a skyline, filmed by hand, with the track of the camera, or of the skyline where the camera's says that the picture
 * does not go as one. Whether it slides is judged on the finished file by correlation alone, of a still card between two details of the
 * skyline. --smoke renders the smoke itself, to be looked at.
 */
import { copyFileSync, existsSync } from 'node:fs'
import { join } from 'node:path'
import { footage, outFolder, say } from './setting.js'
import { findAll, type Match, type Place, pictures } from './tracks/match.js'
import { edit, platefit, writeCard } from './tracks/program.js'
import { slideOf } from './tracks/slide.js'

interface Skyline {
  readonly plate: string
  readonly frames: number
  readonly reference: number
  /** What is followed: an outline, or the camera. */
  readonly region?: readonly string[]
  /** Seen by eye on the reference frame; near each other, since over a longer way perspective moves what lies between. */
  readonly details: readonly [Place, Place]
  /** The light and air of the place, and where the smoke stands and what it is held against. */
  readonly site: object
  readonly smoke: object
  /** What stands before the smoke. */
  readonly before: readonly Place[]
}

const skylines: Readonly<Record<string, Skyline>> = {
  'skyline-hlg': {
    plate: 'rooftop-hlg-rotated.mp4',
    frames: 77,
    reference: 38,
    // The towers and the roof below them, without the sky's clouds.
    region: ['200,120', '400,140', '560,235', '640,370', '600,400', '200,400'],
    details: [
      [482, 243],
      [566, 305],
    ],
    site: { visibilityM: 6000 },
    smoke: {
      ...{ position: { x: 610, y: 335 }, scale: 0.34, distanceM: 250 },
      compareWith: { x: 300, y: 450, width: 300, height: 120, frame: 38, distanceM: 200 },
    },
    before: [
      [0, 420],
      [205, 416],
      [350, 388],
      [520, 388],
      [640, 391],
      [720, 400],
      [820, 435],
      [925, 500],
      [1080, 700],
      [0, 700],
    ],
  },
  'skyline-pq': {
    plate: 'rooftop-pq.mp4',
    frames: 31,
    reference: 14,
    details: [
      [1080, 374],
      [1147, 372],
    ],
    site: { visibilityM: 15000 },
    smoke: {
      ...{ position: { x: 1230, y: 378 }, scale: 0.26, distanceM: 900 },
      compareWith: { x: 740, y: 300, width: 80, height: 100, frame: 14, distanceM: 400 },
    },
    before: [
      [0, 416],
      [1600, 408],
      [1600, 700],
      [0, 700],
    ],
  },
}

/** Choices, px. */
const LIMIT = 0.5
let fine = true
for (const [name, one] of Object.entries(skylines)) {
  const plate = join(footage, 'plates', one.plate)
  if (existsSync(plate)) fine = (await trial(name, one, plate)) && fine
  else console.log(`${name}: skipped, its plate is not there`)
}
process.exitCode = fine ? 0 : 1

async function trial(name: string, one: Skyline, plate: string): Promise<boolean> {
  const folder = outFolder(name)
  const { frames, reference, details, region } = one
  const [x, y] = middle(...details)
  const document = join(folder, 'card.shot.json')
  writeCard(join(folder, 'card.png'), 5, 4, 10)
  const run = (...args: string[]) => platefit(folder, ...args)
  run('new', '--plate', plate, '--element', 'card.png', '--out', document)
  const told = run(
    ...['track', document, '--id', 'far', '--frame', `${reference}`],
    ...(region ? ['--region', ...region] : ['--camera']),
  )
  console.log(told.trimEnd().replace(/^/gm, '  '))
  edit(document, (shot) => ({
    ...shot,
    elements: (shot.elements as object[]).map((e) => ({
      ...e,
      ...{ nature: 'reflects', still: true, time: { hold: 'both' } },
      ...{ follow: { track: 'far' }, position: { x, y }, scale: 1 },
    })),
  }))
  run('render', document, '--out', 'card.####.png', '--format', 'png-16')
  if (process.argv.includes('--smoke')) smoking(folder, one)
  const finished = await pictures(join(folder, 'card.####.png'), 0, frames)
  const filmed = await pictures(plate, 0, frames)
  const far = { reach: 14, scales: [0.98, 1, 1.02] }
  const [a, b] = details.map((d) => findAll(filmed, reference, d, { ...far, size: 31, least: 0.9 }))
  const card = findAll(finished, reference, [x, y], { ...far, size: 49, least: 0.8 })
  const off = card.map((c, f) => c && apart(c, a?.[f], b?.[f]))
  const slide = slideOf(off)
  say(name, { ...slide })
  for (const [f, o] of off.entries())
    if (process.argv.includes('--frames')) say(`  frame ${f}`, o ? { x: o[0], y: o[1] } : { hidden: true })
  return slide.frames > frames / 2 && slide.rms < LIMIT && slide.trend < LIMIT
}

function middle(a: Place, b: Place): Place {
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]
}

function apart({ at: [x, y] }: Match, a: Match | undefined, b: Match | undefined): Place | undefined {
  if (a === undefined || b === undefined) return undefined
  const [u, v] = middle(a.at, b.at)
  return [x - u, y - v]
}

/** The smoke, fitted, going with the camera, behind what stands before it. */
function smoking(folder: string, { site, smoke, before, reference }: Skyline): void {
  copyFileSync(join(folder, 'card.shot.json'), join(folder, 'smoke.shot.json'))
  edit(join(folder, 'smoke.shot.json'), (shot) => ({
    ...shot,
    site,
    shapes: [
      {
        id: 'before',
        kind: 'polygon',
        keys: [{ frame: reference, points: before }],
        follow: { track: 'far' },
      },
    ],
    elements: [
      {
        id: 'soot',
        file: join(footage, 'elements', 'soot', 'soot.####.png'),
        // Far away things are slow: so it lasts as long as the shot.
        ...{ alpha: 'straight', nature: 'absorbs', rate: '9', trimFrames: 1 },
        ...{ follow: { track: 'far' }, holdout: { shapes: ['before'] } },
        ...smoke,
      },
    ],
  }))
  console.log(platefit(folder, 'fit', 'smoke.shot.json').trimEnd().replace(/^/gm, '  '))
  platefit(folder, 'render', 'smoke.shot.json', '--out', 'smoke.####.png', '--format', 'png-16')
}
