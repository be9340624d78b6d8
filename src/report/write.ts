import { Problem } from '../core/index.js'
import type { CheckResult, Job, Tell } from '../engine/types.js'
import { type Encoded, fitSet, LIMIT_BYTES, type PictureSet } from './budget.js'
import { frameOf, heroFrame, shows, sortTells, viewingStops } from './choose.js'
import { formatBound } from './format.js'
import { type CropShown, cropSet, smallSets, wholeFrames, wipeSet } from './gather.js'
import { type PageModel, pageHtml } from './page/page.js'
import { tellingPlace } from './place.js'
import { openRoll, type Roll } from './roll.js'
import type { Hands, Picture, ReportInput, ReportResult, Role } from './types.js'
import { writeWhole } from './whole.js'

/** More than these are told without a crop. */
const CROPS = 40
/** Shares of the room for pictures that crops and small pictures may take; the wipe gets the rest. */
const CROP_SHARE = 0.35
const SMALL_SHARE = 0.35

/**
 * Writes the report: one self-contained HTML file under 8 MB. The same input gives the same bytes.
 *
 * @throws Problem `report.cannot-write`, `report.wrong-extension`, `report.size-differs`, and what opening the files throws.
 */
export async function buildReport(input: ReportInput, job: Job, hands: Hands): Promise<ReportResult> {
  if (!/\.html?$/i.test(input.out)) throw wrongName(input.out)
  const roll = await openRoll(input, hands)
  try {
    const page = await compose(input, job, hands, roll)
    const bytes = Buffer.from(page, 'utf8')
    await writeWhole(input.out, bytes, '--out')
    return { out: input.out, bytes: bytes.length }
  } finally {
    await roll.close()
  }
}

async function compose(input: ReportInput, job: Job, hands: Hands, roll: Roll): Promise<string> {
  const hero = await heroFrame(input.check, roll)
  const worst = sortTells(input.check).speaking[0]
  await addPlain(input, roll, worst === undefined ? [hero] : [hero, frameOf(worst, input.check, hero)])
  const plate = roll.footage('plate')
  const stops = plate?.wideRange ? viewingStops(await roll.look('plate', hero)) : 0
  roll.expose(stops)
  const { looks, views } = await wholeFrames(roll, hero)
  const aspect = plate?.pixelAspect ?? 1
  const size = looks.get('plate') ?? { width: 1, height: 1 }
  const { crops, shown } = await cropsOf(input.check, roll, hero, job)

  const pictures = new Map<string, Encoded>()
  const model: PageModel = {
    title: input.title ?? 'What gives the effect away',
    rendered: roll.footage('result')?.facts.name ?? '',
    check: input.check,
    ...sortTells(input.check),
    frame: hero,
    size: { width: size.width, height: size.height },
    cutX: cutX(worst !== undefined && shows(worst, hero) ? worst : undefined, views),
    crops: shown,
    pictures,
    facts: roll.roles
      .filter((role) => role !== 'plain' || input.plain !== undefined)
      .flatMap((role) => roll.footage(role)?.facts ?? []),
    swatch: ([r, g, b]) => hands.swatch([r * 2 ** stops, g * 2 ** stops, b * 2 ** stops]),
    viewing: stops === 0 ? hands.viewing : `${hands.viewing} ${exposureWords(stops)}`,
    version: hands.version,
  }
  let room = LIMIT_BYTES * 0.98 - Buffer.byteLength(pageHtml(model)) - 400 * CROPS * 3
  const small = smallSets(looks, views, aspect)
  room -= await encodeSets(crops, room * CROP_SHARE, pictures, hands, job)
  room -= await encodeSets(small, room * SMALL_SHARE, pictures, hands, job)
  await encodeSets([wipeSet(views, aspect)], room, pictures, hands, job)
  return pageHtml(model)
}

/** Renders the plain over of the frames that are shown large, where no file has it. */
async function addPlain({ renderPlain }: ReportInput, roll: Roll, frames: readonly number[]): Promise<void> {
  if (renderPlain === undefined) return
  for (const frame of frames) {
    if (roll.has('plain', frame)) continue
    await roll.addPlain(await renderPlain({ first: frame, count: 1 }), frame, 1)
  }
}

/** The wipe starts through the middle of the tell that it shows; without one, where the result differs most unevenly. */
function cutX(worst: Tell | undefined, views: ReadonlyMap<Role, Picture>): number {
  const plate = views.get('plate')
  const result = views.get('result')
  let place = worst?.region
  if (place === undefined && plate !== undefined && result !== undefined) {
    const whole = { x: 0, y: 0, width: plate.width, height: plate.height }
    place = tellingPlace(result, plate, whole, plate.width / 8, plate.height / 3, 'uneven')
  }
  return place === undefined ? 0 : place.x + place.width / 2
}

function exposureWords(stops: number): string {
  return `Much of this plate lies above diffuse white, so every picture is shown ${formatBound(-stops, 'stops')} darker.`
}

/** Encodes sets into an allowance shared evenly; what one leaves over goes to the next. Returns the room taken. */
async function encodeSets(
  sets: readonly PictureSet[],
  allowance: number,
  into: Map<string, Encoded>,
  hands: Hands,
  job: Job,
): Promise<number> {
  let taken = 0
  for (const [i, set] of sets.entries()) {
    job.signal?.throwIfAborted()
    const { encoded, length } = await fitSet(set, (allowance - taken) / (sets.length - i), hands)
    taken += length
    for (const [k, e] of encoded.entries()) into.set(set.keys[k] as string, e)
  }
  return taken
}

/** Crops of the first tells; every frame is decoded once. */
async function cropsOf(check: CheckResult, roll: Roll, hero: number, job: Job) {
  const byFrame = new Map<number, [number, Tell][]>()
  for (const [i, tell] of sortTells(check).speaking.slice(0, CROPS).entries()) {
    const frame = frameOf(tell, check, hero)
    byFrame.set(frame, [...(byFrame.get(frame) ?? []), [i, tell]])
  }
  const crops: PictureSet[] = []
  const shown = new Map<number, CropShown>()
  const started = performance.now()
  let done = 0
  for (const [frame, tells] of byFrame) {
    job.signal?.throwIfAborted()
    const { looks, views } = await wholeFrames(roll, frame)
    for (const [i, tell] of tells) {
      const crop = cropSet(tell, i, frame, looks, views)
      crops.push(crop.set)
      shown.set(i, crop.shown)
    }
    done++
    const seconds = (performance.now() - started) / 1000
    job.onProgress?.({
      stage: 'report',
      done,
      total: byFrame.size,
      framesPerSecond: done / Math.max(seconds, 1e-3),
      secondsLeft: (seconds / done) * (byFrame.size - done),
    })
  }
  return { crops, shown }
}

/** Under another name the page could take the place of the plate or the document. */
function wrongName(out: string): Problem {
  return new Problem({
    code: 'report.wrong-extension',
    what: 'The report is a page, and its name must say so',
    where: out,
    expected: 'a name that ends in .html',
    remedy: 'Give such a name with --out.',
  })
}
