/** Is an element fit for this plate? Looks at each by a handful of frames, judges line by line, and ranks them. */
import { layoutName, Problem, told } from '../../core/index.js'
import { tracker } from '../progress.js'
import type { Job } from '../types.js'
import { percent } from '../words.js'
import { type ElementFacts, FactsRead, factsWords, knownOf } from './facts.js'
import { type Found, findElements } from './find.js'
import { isOutside, requireInFrame } from './inFrame.js'
import type { ElementInfo, ElementLook } from './look.js'
import { lookersFor, openLookers } from './lookers.js'
import { lookAtPlate, type PlateLook } from './plate.js'
import { scoreOf } from './score.js'
import { tableFor } from './table.js'
import { type Ground, laidThumbnail, plateThumbnail, thumbnailOf, viewingStops } from './thumbnail.js'
import type { KnownFacts, SuitAsk, Suited, SuitResult, Unread } from './types.js'
import { isUnasked, worst } from './verdict.js'

/**
 * An element that cannot be read is listed with its reason and does not stop the others.
 *
 * @throws Problem of the media room when the plate cannot be read; `suit.nothing-found` when there is no element;
 *   `suit.outside-plate` when none would be seen where it is to stand; `suit.too-little-memory`
 */
export async function suitElements(ask: SuitAsk, job: Job = {}): Promise<SuitResult> {
  const found = await findElements(ask.elements)
  if (found.length === 0)
    throw new Problem({
      code: 'suit.nothing-found',
      what: 'No element was found',
      where: ask.elements.join(', '),
      expected: 'movies, pictures or numbered pictures, or folders that hold some',
    })
  const facts = new FactsRead()
  const said = await Promise.all(found.map((one) => facts.of(one)))
  const unused = await facts.unused(ask.elements)
  const begin = performance.now()
  const lookers = openLookers(lookersFor(found.length, job), job)
  const elements: Suited[] = []
  const unread: Unread[] = []
  try {
    const tick = tracker(job, 'suit', found.length)
    tick(0)
    const plate = await lookAtPlate(ask.plate, ask.known, job)
    const { encoding } = plate.info
    const stops = viewingStops(plate.image, encoding)
    const ground: Ground = { image: plate.image, encoding, stops, parts: new Map() }
    let next = 0
    const runner = async () => {
      for (let i = next++; i < found.length; i = next++) {
        const one = found[i] as Found
        const own = said[i] ?? {}
        try {
          elements.push(
            suited(one.path, await lookers.look(one), plate, ground, knownOf(ask.known, own), own),
          )
        } catch (error) {
          if (!(error instanceof Problem)) throw error
          unread.push({ path: one.path, problem: error })
        }
        tick(elements.length + unread.length)
      }
    }
    await Promise.all(Array.from({ length: lookers.threads }, runner))
    const [first] = unread
    // One wrong place is said once, not of every element.
    if (first !== undefined && unread.length === found.length && unread.every(isOutside)) throw first.problem
    const seconds = (performance.now() - begin) / 1000
    return resultOf(ask, plate, stops, { elements, unread, seconds, unused })
  } finally {
    await lookers.close()
  }
}

interface Looked {
  readonly elements: Suited[]
  readonly unread: Unread[]
  readonly seconds: number
  readonly unused: readonly Problem[]
}

function resultOf(
  ask: SuitAsk,
  plate: PlateLook,
  stops: number,
  { elements, unread, seconds, unused }: Looked,
): SuitResult {
  return {
    plate: {
      path: ask.plate,
      facts: factsOf(plate.info, plate.info.frameCount),
      grain: grainWords(plate),
      size: { width: plate.info.width, height: plate.info.height },
      thumbnail: plateThumbnail(plate.image, plate.info.encoding, stops),
    },
    seconds,
    elements: elements.sort((a, b) => b.score - a.score || (a.path < b.path ? -1 : 1)),
    unread: unread.sort((a, b) => (a.path < b.path ? -1 : 1)),
    findings: [...plate.info.findings, ...unused],
  }
}

function suited(
  path: string,
  look: ElementLook,
  plate: PlateLook,
  ground: Ground,
  known: KnownFacts,
  facts: ElementFacts,
): Suited {
  const said = factsWords(facts)
  const { lines, scale } = tableFor(look, plate, known)
  const placed =
    scale === undefined ? undefined : { width: scale * look.info.width, height: scale * look.info.height }
  requireInFrame(known.at, placed, plate.info)
  const { encoding } = look.info
  const free = look.cut.kind === 'alpha' || look.cut.kind === 'on-black'
  const laid =
    free && known.at !== undefined && scale !== undefined
      ? laidThumbnail(ground, {
          element: lightOf(look),
          encoding,
          at: known.at,
          // Its picture is thinned: each of its pixels stands for several.
          scale: (scale * look.info.width) / look.fullest.region.width,
          // The told exposure alone: a match is more than a factor, and nothing is fitted here.
          gain: 2 ** (known.stops ?? 0),
        })
      : undefined
  return {
    path,
    score: scoreOf(lines),
    verdict: worst(lines.filter((l) => !isUnasked(l)).map((l) => l.verdict)),
    lines,
    frames: look.frames,
    facts: factsOf(look.info, look.count),
    ...(said === '' ? {} : { said }),
    ...(placed === undefined ? {} : { placed }),
    thumbnail: thumbnailOf(look.fullest, encoding, look.cut.kind === 'alpha'),
    ...(laid === undefined ? {} : { laid }),
  }
}

/** As it would be laid over plainly: without the black that its file holds, where it stands on black. */
function lightOf({ cut, floor, fullest }: ElementLook) {
  if (cut.kind !== 'on-black' || !told(floor)) return fullest
  const data = fullest.data.slice()
  for (let i = 0; i < data.length; i += 4)
    for (const c of [0, 1, 2] as const)
      data[i + c] = Math.max((data[i + c] as number) - floor.value.floor[c], 0)
  return { region: fullest.region, data }
}

function factsOf(i: ElementInfo, count: number): string {
  const rate =
    i.rateEvidence.kind === 'assumed' || count === 1
      ? ''
      : ` at ${Number((i.rate.num / i.rate.den).toFixed(3))}`
  const length = count === 1 ? 'one picture' : `${count} frames${rate}`
  return `${i.width}×${i.height}, ${length}, ${i.codec}, ${layoutName(i.layout)}`
}

function grainWords({ grain }: PlateLook): string {
  if (!told(grain)) return `cannot tell: ${grain.cannotTell}`
  const { levels, variance } = grain.value
  const sigma = (i: number) => Math.sqrt((variance[0][i]! + variance[1][i]! + variance[2][i]!) / 3)
  const last = levels.length - 1
  return `${percent(sigma(0))} of white in its darks, ${percent(sigma(last))} in its lights`
}
