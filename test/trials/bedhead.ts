/**
 * A card on a bed head, and a flame before it, through a hand-held push-in; a forearm passes before both. Whether the card slides is
 * judged on the finished file by correlation alone: against two seams of the bed head that lie with it on one straight edge.
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
/** Where the two seams meet the upper edge on the reference frame, and the card between them: seen by eye. */
const SEAMS: readonly [Place, Place] = [
  [706, 254],
  [947, 276],
]
const BETWEEN = 0.5625
const CARD = [0, 1].map((c) => SEAMS[0][c] + BETWEEN * (SEAMS[1][c] - SEAMS[0][c])) as unknown as Place
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
  const [left, right] = SEAMS.map((s) => findAll(filmed, REFERENCE, s, { size: 31, reach: 12, least: 0.97 }))
  const card = findAll(finished, REFERENCE, CARD, { size: 45, least: 0.8 })
  const off = card.map((c, f) => c && apart(c, left?.[f], right?.[f]))
  const slide = slideOf(off)
  say('bedhead', { ...slide })
  process.exitCode = slide.frames > 30 && slide.rms < 0.5 && slide.trend < 0.5 ? 0 : 1
  for (const [f, o] of off.entries())
    if (process.argv.includes('--frames')) say(`  frame ${f}`, o ? { x: o[0], y: o[1] } : { hidden: true })
}

/** The card from where the seams say that it should lie. A line stays a line, and over a fifth of the picture its parts keep their shares. */
function apart(card: Match, left: Match | undefined, right: Match | undefined): Place | undefined {
  if (left === undefined || right === undefined) return undefined
  const should = (c: 0 | 1) => left.at[c] + BETWEEN * (right.at[c] - left.at[c])
  return [card.at[0] - should(0), card.at[1] - should(1)]
}
