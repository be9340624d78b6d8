/** Repeated elements: the same pictures seen twice in a shot, by one element or by two, mirrored or at another speed. */
import type { Region } from '../../../core/index.js'
import { type Comparison, cannotTell, type Verdict } from '../../compare.js'
import { ALIKE, comesAgain, type Run, repeated, tells } from './run.js'
import { mirrored } from './thumbnail.js'

export interface Series {
  readonly name: string
  /** Frames of the shot, ascending, and what shows on each. */
  readonly frames: readonly number[]
  readonly pictures: readonly Float32Array[]
  /** It goes round and was asked to hide that: pictures come again, but not at one beat. */
  readonly varied: boolean
  readonly regionAt: (frame: number) => Region
}

/** By the name of the element that is seen second. */
export function compareRepeats(all: readonly Series[]): { name: string; comparison: Comparison }[] {
  const telling = new Map(all.map((s) => [s.name, tells(s.pictures)]))
  return all.map((b, k) => {
    if (!telling.get(b.name)) return { name: b.name, comparison: undecided(b) }
    const own = again(b)
    const others = all.slice(0, k).filter((a) => telling.get(a.name))
    const twice = others.flatMap((a) => twins(a, b) ?? []).slice(0, 1)
    const verdicts = [...(own === undefined ? [] : [own]), ...twice]
    // Of a run: how alike its pairs are, and all others; without one there is nothing that comes again.
    const [worst] = verdicts
    const measured = {
      again: [worst?.measured ?? 0],
      ...(worst === undefined ? {} : { alike: [worst.expected] }),
    }
    return { name: b.name, comparison: { verdicts, undecided: [], measured } }
  })
}

function undecided(b: Series): Comparison {
  const why = `the pictures of ${b.name} are too much alike, or too few, to be told apart`
  return cannotTell('repeated', 'place', why)
}

function again(b: Series): Verdict | undefined {
  const run = comesAgain(b.pictures)
  if (run === undefined) return undefined
  const [first, later] = [spanOf(b, run.from, run.count), spanOf(b, run.to, farSide(run))]
  const back = run.slope < 0 ? ', backwards' : ''
  const every = later[0] - first[0]
  const round = run.count > run.to - run.from
  if (b.varied && !round) return undefined
  return {
    ...shared(run, b, later),
    sentence: round
      ? `${b.name} repeats itself every ${every} frames, from frame ${later[0]} on.`
      : `${b.name} repeats itself: what shows on frames ${first.join(' to ')} comes again from frame ${later[0]} on${back}.`,
    cause: b.varied
      ? 'Its loop is so short that each round begins nearly where the last one did.'
      : 'Its file goes round, or the shot lets it.',
    remedy: b.varied
      ? 'Loop more of its file (`time.loop`: a larger count), or take a longer take.'
      : 'Take a longer take, or loop it with a crossing and a seed (`time.loop`), so that each round begins elsewhere.',
  }
}

function twins(a: Series, b: Series): Verdict | undefined {
  const ways = [false, true].flatMap((turned) => {
    const run = repeated(a.pictures, turned ? b.pictures.map(mirrored) : b.pictures)
    return run === undefined ? [] : [{ run, turned }]
  })
  const best = ways.reduce<(typeof ways)[number] | undefined>(
    (x, y) => (x === undefined || y.run.count * y.run.alike > x.run.count * x.run.alike ? y : x),
    undefined,
  )
  if (best === undefined || (!best.turned && layered(a, b, best.run))) return undefined
  const { run, turned } = best
  const [first, second] = [spanOf(a, run.from, run.count), spanOf(b, run.to, farSide(run))]
  const how = [
    ...(turned ? ['mirrored'] : []),
    ...(run.slope < 0 ? ['backwards'] : []),
    ...(Math.abs(Math.abs(run.slope) - 1) > 0.1
      ? [`at ${(1 / Math.abs(run.slope)).toFixed(2)} of its speed`]
      : []),
  ].join(', ')
  const late = second[0] - first[0]
  const when = late === 0 ? 'at the same time' : `${Math.abs(late)} frames ${late > 0 ? 'later' : 'earlier'}`
  return {
    ...shared(run, b, second),
    sentence: `${b.name} is ${a.name} once more${how === '' ? '' : `, ${how}`}: the same ${run.count} pictures, ${when}.`,
    cause: 'Both show the same part of one take.',
    remedy: 'Take another take for one of them, or another part of it that never shows in this shot.',
  }
}

/** Frames of the second series that a run goes through, back ones as less than none. */
function farSide(run: Run): number {
  const way = Math.round(run.slope * (run.count - 1))
  return way < 0 ? way - 1 : way + 1
}

function spanOf(s: Series, from: number, count: number): [number, number] {
  const at = (k: number) => s.frames[Math.min(Math.max(k, 0), s.frames.length - 1)] as number
  const ends = [at(from), at(from + count - Math.sign(count))]
  return [Math.min(...ends), Math.max(...ends)]
}

/** One laid over the other, as a core over its glow: what is meant to be one thing. */
function layered(a: Series, b: Series, run: Run): boolean {
  const frame = a.frames[run.from] as number
  if (frame !== b.frames[run.to] || Math.abs(run.slope - 1) > 0.01) return false
  const [p, q] = [a.regionAt(frame), b.regionAt(frame)]
  const apart = (x: number, w: number, y: number, v: number) => Math.abs(x + w / 2 - y - v / 2)
  const size = Math.max(p.width, p.height, q.width, q.height)
  return Math.max(apart(p.x, p.width, q.x, q.width), apart(p.y, p.height, q.y, q.height)) < size / 4
}

function shared(run: Run, b: Series, frames: readonly [number, number]) {
  return {
    tell: 'repeated',
    link: 'place',
    frames,
    region: b.regionAt(frames[0]),
    unit: 'of 1',
    measured: run.alike,
    expected: run.unlike,
    limit: ALIKE,
    confidence: run.count >= 8 ? 0.9 : 0.7,
    contrast: 1 + run.count / 24,
  }
}
