/**
 * Slide: how far an element's anchor leaves the plate's own texture about it.
 *
 *   r(n) = p(n) − A(n)·p(s)              off, within a span that begins on frame s
 *   u(n) = r(n) − (r(n−1) + r(n+1))/2    what a smooth course leaves out
 *   rms² = Σ|u|²/(1.5 N) − 2σ²           trend(n) = r(n) + where the spans before ended
 *
 *   p  where the chain puts the anchor, px       A  how the texture moved from frame s, affine, on places that were found anew on s
 *   σ  standard deviation along an axis of where A puts the anchor, px
 *
 * White unrest of variance v along an axis leaves 1.5 v in u. Where things of several depths lie about the anchor, each goes its
 * own way; the one that goes most nearly with the anchor is taken for its ground, so that parallax is never called slide. What
 * stands between two depths goes between their two ways, always at the same share: an element without a foot may stand there.
 * Source: common practice; variances by the usual propagation of independent errors.
 */
export type Way2 = readonly [number, number]

/** Texture that moves together: how far the anchor is off on each frame of the span, px; 0 on the first. */
export interface Ground {
  readonly off: readonly Way2[]
  /** σ, px. */
  readonly spread: number
  /** Where it carried the anchor: how far from where that was, px. */
  readonly way: readonly Way2[]
  /** How much larger it is across than on the first frame, and a standard deviation of that. */
  readonly growth: readonly number[]
  readonly growthSd: number
}

export interface Span {
  /** Frames of the shot, one after the other. */
  readonly frames: readonly number[]
  readonly grounds: readonly Ground[]
}

/** Where an element lies in the finished file. */
export interface InFile {
  /** From where its document puts it, px. */
  readonly off: Way2
  /** Standard deviation along an axis, px. */
  readonly spread: number
}

/** Share of the frames on which it must be made out in the file to be judged there. */
const MADE_OUT = 0.8
/** Of those, share on which it lies where the document says, to so many pixels or standard deviations: then that bears it out. */
const BORNE = 0.95
const WITHIN = 0.25
const SURE = 5

/**
 * The spans as the finished file has them. Where it bears the document out these are the document's own, which have no noise;
 * where the element is not made out on most frames, the document is all there is.
 */
export function inFile(
  spans: readonly Span[],
  off: ReadonlyMap<number, InFile>,
): { spans: readonly Span[]; by: 'file' | 'document' } {
  const frames = spans.flatMap((s) => s.frames)
  const found = frames.flatMap((n) => off.get(n) ?? [])
  if (found.length === 0 || found.length < MADE_OUT * frames.length) return { spans, by: 'document' }
  const there = found.filter((f) => long(f.off) <= Math.max(WITHIN, SURE * f.spread))
  if (there.length >= BORNE * found.length) return { spans, by: 'file' }
  return { spans: spans.map((s) => moved(s, off)), by: 'file' }
}

/** Where it was not made out it is taken to go as between the frames beside. */
function moved({ frames, grounds }: Span, off: ReadonlyMap<number, InFile>): Span {
  const known = frames.filter((n) => off.has(n))
  const at = (n: number): Way2 => {
    const before = known.findLast((k) => k <= n) ?? known[0]
    const after = known.find((k) => k >= n) ?? before
    if (before === undefined || after === undefined) return [0, 0]
    const share = after > before ? (n - before) / (after - before) : 0
    const [p, q] = [(off.get(before) as InFile).off, (off.get(after) as InFile).off]
    return [p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])]
  }
  const [x, y] = at(frames[0] as number)
  const own = Math.max(0, ...known.map((n) => (off.get(n) as InFile).spread))
  return {
    frames,
    grounds: grounds.map((g) => ({
      ...g,
      off: g.off.map(([u, v], k): Way2 => {
        const [a, b] = at(frames[k] as number)
        return [u + a - x, v + b - y]
      }),
      spread: Math.sqrt(g.spread ** 2 + own ** 2),
    })),
  }
}

export interface Slide {
  /** px. */
  readonly rms: number
  /** Furthest, px, and the frame on which it is. */
  readonly trend: number
  readonly at: number
  /** How far the anchor is from its ground on each frame, px, since the first. */
  readonly course: readonly { readonly frame: number; readonly off: number }[]
  /** What the measurement itself may be off by: a standard deviation of the rms and of the trend, px. */
  readonly spread: { readonly rms: number; readonly trend: number }
  /** Furthest from where they were on the first frame, px: the ground in the picture, and the anchor. */
  readonly ways: { readonly plate: number; readonly element: number }
}

/** Frames with an own course of which there must be so many, or the rms says nothing. */
const FEW = 6

/** Undefined where no span has ground. */
export function slideOf(spans: readonly Span[]): Slide | undefined {
  let [base, gone]: [Way2, Way2] = [
    [0, 0],
    [0, 0],
  ]
  let [square, count, noise, drift] = [0, 0, 0, 0]
  const ways = { plate: 0, element: 0 }
  const course: Slide['course'][number][] = []
  for (const { frames, grounds } of spans) {
    const ground = nearest(grounds)
    if (ground === undefined) continue
    const { off, spread, way } = ground
    off.forEach(([x, y], k) => {
      const left: Way2 = [base[0] + x, base[1] + y]
      const ground: Way2 = [gone[0] + (way[k] as Way2)[0], gone[1] + (way[k] as Way2)[1]]
      course.push({ frame: frames[k] as number, off: long(left) })
      ways.plate = Math.max(ways.plate, long(ground))
      ways.element = Math.max(ways.element, long([ground[0] + left[0], ground[1] + left[1]]))
      const [before, after] = [off[k - 1], off[k + 1]]
      // The first frame has no error of its own.
      if (k < 2 || before === undefined || after === undefined) return
      const u: Way2 = [x - (before[0] + after[0]) / 2, y - (before[1] + after[1]) / 2]
      square += (u[0] * u[0] + u[1] * u[1]) / 1.5
      noise += 2 * spread * spread
      count++
    })
    const last = off.at(-1) ?? [0, 0]
    base = [base[0] + last[0], base[1] + last[1]]
    drift += 2 * spread * spread
    const end = way.at(-1) ?? [0, 0]
    gone = [gone[0] + end[0], gone[1] + end[1]]
  }
  const furthest = course.reduce((a, b) => (b.off > a.off ? b : a), { frame: 0, off: -1 })
  if (course.length === 0) return undefined
  const enough = count >= FEW
  return {
    rms: enough ? Math.sqrt(Math.max(0, (square - noise) / count)) : 0,
    trend: furthest.off,
    at: furthest.frame,
    course,
    spread: { rms: enough ? Math.sqrt(noise / count / Math.sqrt(count)) : 0, trend: Math.sqrt(drift) },
    ways,
  }
}

/** Spans at whose ends the anchor is off by so little stand; one is another thing's when it is off by so much, px. */
const STANDS = 0.3
const ANOTHER = 4

/** Without spans in which it leaves its ground all at once, when it stands on it in most: there something passed. */
export function standing(spans: readonly Span[]): readonly Span[] {
  const off = spans.map(({ grounds }) => long(nearest(grounds)?.off.at(-1) ?? [0, 0]))
  const stand = off.filter((v) => v < STANDS).length
  return stand < 2 || stand <= spans.length / 2 ? spans : spans.filter((_, k) => (off[k] as number) < ANOTHER)
}

/** Grounds, and between each two of them the way that goes most nearly with the anchor. */
export function withBetween(grounds: readonly Ground[]): Ground[] {
  return [...grounds, ...grounds.flatMap((a, i) => grounds.slice(i + 1).map((b) => between(a, b)))]
}

function between(a: Ground, b: Ground): Ground {
  let [along, length] = [0, 0]
  a.off.forEach(([x, y], k) => {
    const [u, v] = b.off[k] as Way2
    const [dx, dy] = [u - x, v - y]
    along -= x * dx + y * dy
    length += dx * dx + dy * dy
  })
  const share = length > 0 ? Math.min(Math.max(along / length, 0), 1) : 0
  const mix = (p: readonly Way2[], q: readonly Way2[]) =>
    p.map(([x, y], k): Way2 => {
      const [u, v] = q[k] as Way2
      return [x + share * (u - x), y + share * (v - y)]
    })
  const spread = Math.sqrt(((1 - share) * a.spread) ** 2 + (share * b.spread) ** 2)
  const growth = a.growth.map((v, k) => v + share * ((b.growth[k] as number) - v))
  return {
    off: mix(a.off, b.off),
    way: mix(a.way, b.way),
    spread,
    growth,
    growthSd: Math.max(a.growthSd, b.growthSd),
  }
}

/** The one with which the anchor goes most nearly. */
export function nearest(grounds: readonly Ground[]): Ground | undefined {
  const off = (g: Ground) => g.off.reduce((sum, [x, y]) => sum + x * x + y * y, 0)
  return grounds.length === 0 ? undefined : grounds.reduce((a, b) => (off(b) < off(a) ? b : a))
}

export function long([x, y]: Way2): number {
  return Math.sqrt(x * x + y * y)
}
