/**
 * Distant smoke on a skyline, filmed by hand: once with the track of the camera, once with one of the skyline. Whether either slides is
 * judged on the finished file by correlation alone, of still cards in the sky beside it, against two details of the skyline.
 * The smoke itself is rendered to be looked at.
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
  /** All places were seen by eye on the reference frame: two details, and free sky for a card by track. */
  readonly details: readonly [Place, Place]
  readonly cards: Readonly<Record<'camera' | 'skyline', Place>>
  /** Outline of what stands far away. */
  readonly region: string
  readonly smoke: object
  /** What stands before the smoke. */
  readonly before: readonly Place[]
}

const skylines: Readonly<Record<string, Skyline>> = {
  'skyline-hlg': {
    plate: 'rooftop-hlg-rotated.mp4',
    frames: 77,
    reference: 38,
    details: [
      [262, 134],
      [655, 368],
    ],
    cards: { camera: [434, 200], skyline: [600, 240] },
    region: '10,160 220,125 410,165 670,355 925,500 700,500 560,440 0,430',
    smoke: { position: { x: 610, y: 300 }, scale: 0.34, distanceM: 250 },
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
    cards: { camera: [1010, 345], skyline: [1110, 330] },
    region: '850,395 1060,362 1170,358 1200,398 1600,400 1600,440 850,440',
    smoke: { position: { x: 1210, y: 350 }, scale: 0.26, distanceM: 900 },
    before: [
      [0, 416],
      [1600, 408],
      [1600, 700],
      [0, 700],
    ],
  },
}

const LIMIT = 0.5
const only = process.argv.indexOf('--only')
let fine = true
for (const [name, one] of Object.entries(skylines)) {
  if (only > 0 && process.argv[only + 1] !== name) continue
  const plate = join(footage, 'plates', one.plate)
  if (existsSync(plate)) fine = (await trial(name, one, plate)) && fine
  else console.log(`${name}: skipped, its plate is not there`)
}
process.exitCode = fine ? 0 : 1

async function trial(name: string, one: Skyline, plate: string): Promise<boolean> {
  const folder = outFolder(name)
  const { frames, reference, details, cards } = one
  const document = join(folder, 'cards.shot.json')
  writeCard(join(folder, 'card.png'), 5, 4, 10)
  const run = (...args: string[]) => platefit(folder, ...args)
  const card = ['--element', 'card.png']
  run('new', '--plate', plate, ...card, ...card, '--out', document)
  const drawn = ['--frame', `${reference}`]
  const told = [
    run('track', document, '--camera', '--id', 'camera', ...drawn),
    run('track', document, '--region', ...one.region.split(' '), '--id', 'skyline', ...drawn),
  ]
  console.log(told.join('\n').trimEnd().replace(/^/gm, '  '))
  edit(document, (shot) => ({
    ...shot,
    elements: Object.entries(cards).map(([track, [x, y]], i) => ({
      ...(shot.elements as object[])[i],
      ...{ nature: 'reflects', still: true, time: { hold: 'both' } },
      ...{ follow: { track }, position: { x, y }, scale: 1 },
    })),
  }))
  run('render', document, '--out', 'cards.####.png', '--format', 'png-16')
  smoking(folder, one)
  const finished = await pictures(join(folder, 'cards.####.png'), 0, frames)
  const filmed = await pictures(plate, 0, frames)
  const far = { reach: 14, scales: [0.98, 1, 1.02] }
  const [a, b] = details.map((d) => findAll(filmed, reference, d, { ...far, size: 31, least: 0.9 }))
  const slides = Object.entries(cards).map(([track, place]) => {
    const off = findAll(finished, reference, place, { ...far, size: 49, least: 0.8 }).map(
      (c, f) => c && apart(c.at, beside(place, details), a?.[f], b?.[f]),
    )
    const slide = slideOf(off)
    say(`${name}, by the ${track}`, { ...slide })
    for (const [f, o] of off.entries())
      if (process.argv.includes('--frames')) say(`  frame ${f}`, o ? { x: o[0], y: o[1] } : { hidden: true })
    return { track, ok: slide.frames > frames / 2 && slide.rms < LIMIT && slide.trend < LIMIT }
  })
  return slides.every((s) => s.ok || s.track === 'camera')
}

/** The smoke, fitted, going with the skyline, behind what stands before it. */
function smoking(folder: string, { smoke, before, reference }: Skyline): void {
  copyFileSync(join(folder, 'cards.shot.json'), join(folder, 'smoke.shot.json'))
  edit(join(folder, 'smoke.shot.json'), (shot) => ({
    ...shot,
    shapes: [
      {
        id: 'before',
        kind: 'polygon',
        keys: [{ frame: reference, points: before }],
        follow: { track: 'skyline' },
      },
    ],
    elements: [
      {
        id: 'soot',
        file: join(footage, 'elements', 'soot', 'soot.####.png'),
        ...{ alpha: 'straight', nature: 'absorbs', rate: '12' },
        time: { loop: { first: 4, count: 14, cross: 6 } },
        ...{ follow: { track: 'skyline' }, holdout: { shapes: ['before'] } },
        ...smoke,
      },
    ],
  }))
  console.log(platefit(folder, 'fit', 'smoke.shot.json').trimEnd().replace(/^/gm, '  '))
  platefit(folder, 'render', 'smoke.shot.json', '--out', 'smoke.####.png', '--format', 'png-16')
}

type Complex = readonly [number, number]
function times([a, b]: Complex, [c, d]: Complex): Complex {
  return [a * c - b * d, a * d + b * c]
}

/** Where a place lies beside two others, as a complex share of the way from one to the other: it stays while these turn and grow. */
function beside([x, y]: Place, [[a, b], [c, d]]: readonly [Place, Place]): Complex {
  const [u, v] = [c - a, d - b]
  const [re, im] = times([x - a, y - b], [u, -v])
  return [re / (u * u + v * v), im / (u * u + v * v)]
}

function apart([x, y]: Place, share: Complex, a: Match | undefined, b: Match | undefined): Place | undefined {
  if (a === undefined || b === undefined) return undefined
  const [u, v] = times([b.at[0] - a.at[0], b.at[1] - a.at[1]], share)
  return [x - a.at[0] - u, y - a.at[1] - v]
}
