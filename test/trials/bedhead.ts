/**
 * A card on a bed head, and a flame before it, through a hand-held push-in; a forearm passes before both. Whether the card slides is
 * judged on the finished file by correlation alone: against the bed head's end and two of its seams, which lie with it on one straight
 * edge. The camera comes round it as it comes nearer, so that shares of that edge do not keep; the cross-ratio of four places on a
 * line does [hartley2004 §2.5].
 */
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { ARM } from './forearm/outline.js'
import { footage, outFolder, say } from './setting.js'
import { findAll, type Match, type Place, pictures } from './tracks/match.js'
import { edit, platefit, writeCard } from './tracks/program.js'
import { slideOf } from './tracks/slide.js'

const REFERENCE = 28
/** The bed head leaves the picture after that. */
const FRAMES = 66
/** The bed head's end and two seams just below its upper edge, on the reference frame and on one after the forearm has passed: seen by eye. */
const END: Place = [567, 241.3]
const SEAMS: readonly [Place, Place] = [
  [706, 254],
  [947, 276],
]
const AFTER = 56
const THEN: readonly Place[] = [
  [759, 139],
  [893, 155],
  [1145, 185],
]
const BETWEEN = 0.5625
const CARD = [0, 1].map((c) => SEAMS[0][c] + BETWEEN * (SEAMS[1][c] - SEAMS[0][c])) as unknown as Place
/** (p − b)(c − a) / (p − a)(c − b) of the card p, the end a and the seams b and c. */
const RATIO =
  ((CARD[0] - SEAMS[0][0]) * (SEAMS[1][0] - END[0])) / ((CARD[0] - END[0]) * (SEAMS[1][0] - SEAMS[0][0]))
/** The bed head without the pillows before it. */
const REGION = '552,226 1250,288 1250,345 960,350 780,350 725,305 640,270 600,285 552,280'.split(' ')
const plate = join(footage, 'plates', 'bedroom-handheld-720p.mp4')
if (existsSync(plate)) await trial()
else console.log('bedhead: skipped, its plate is not there')

async function trial(): Promise<void> {
  const folder = outFolder('bedhead')
  writeCard(join(folder, 'card.png'), 5, 4, 20)
  const flame = join(footage, 'elements', 'flame', 'flame.####.png')
  platefit(
    folder,
    'new',
    '--plate',
    plate,
    '--element',
    'card.png',
    '--element',
    flame,
    '--out',
    'bedhead.shot.json',
  )
  edit(join(folder, 'bedhead.shot.json'), (shot) => ({
    ...shot,
    plate: { ...(shot.plate as object), frames: { first: 0, count: FRAMES } },
  }))
  const told = platefit(
    folder,
    'track',
    'bedhead.shot.json',
    '--region',
    ...REGION,
    '--frame',
    `${REFERENCE}`,
    '--id',
    'bed-head',
  )
  console.log(told.trimEnd().replace(/^/gm, '  '))
  edit(join(folder, 'bedhead.shot.json'), (shot) => ({
    ...shot,
    shapes: [
      {
        id: 'arm',
        kind: 'polygon',
        keys: [...ARM].map(([frame, points]) => ({ frame, points })),
      },
    ],
    elements: (shot.elements as object[]).map((e, i) => ({
      ...e,
      follow: { track: 'bed-head' },
      holdout: { shapes: ['arm'] },
      ...(i === 0
        ? {
            nature: 'reflects',
            still: true,
            time: { hold: 'both' },
            position: { x: CARD[0], y: CARD[1] },
            scale: 0.4,
          }
        : { position: { x: 770, y: 215 }, scale: 0.2 }),
    })),
  }))
  platefit(folder, 'render', 'bedhead.shot.json', '--out', 'bedhead.####.png', '--format', 'png-16')
  const finished = await pictures(join(folder, 'bedhead.####.png'), 0, FRAMES)
  const filmed = await pictures(plate, 0, FRAMES)
  const edge = [END, ...SEAMS].map((s, i) =>
    findAll(filmed, REFERENCE, s, { size: 31, reach: 12, least: 0.97, again: [AFTER, THEN[i] as Place] }),
  )
  const should = filmed.map((_, f) => onEdge(edge[0]?.[f], edge[1]?.[f], edge[2]?.[f]))
  const card = findAll(finished, REFERENCE, CARD, {
    ...{ size: 45, least: 0.8, reach: 12 },
    again: [AFTER, should[AFTER] ?? CARD],
  })
  const off = card.map((c, f): Place | undefined => {
    const s = should[f]
    return c && s && [c.at[0] - s[0], c.at[1] - s[1]]
  })
  const slide = slideOf(off)
  say('bedhead', { ...slide })
  process.exitCode = slide.frames > 30 && slide.rms < 0.5 && slide.trend < 0.5 ? 0 : 1
  for (const [f, o] of off.entries())
    if (process.argv.includes('--frames')) say(`  frame ${f}`, o ? { x: o[0], y: o[1] } : { hidden: true })
}

/** Where the card should lie: the place that has one cross-ratio with the other three, as on the reference frame. */
function onEdge(end?: Match, left?: Match, right?: Match): Place | undefined {
  if (end === undefined || left === undefined || right === undefined) return undefined
  const [a, b, c] = [end.at[0], left.at[0], right.at[0]]
  const x = (b * (c - a) - RATIO * a * (c - b)) / (c - a - RATIO * (c - b))
  return [x, left.at[1] + ((x - b) / (c - b)) * (right.at[1] - left.at[1])]
}
