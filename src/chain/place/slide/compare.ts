/**
 * An element that does not stay where it was put in the plate: it trembles against the texture about its anchor, or leaves it.
 *
 * Limits (choices): trembling of 0.3 px rms, at 1920 px of width and in proportion above; leaving by 1 px or a thousandth of the
 * width, whichever is more: about what an eye notes of a picture that fills a field of 40°, where 1 px of 1920 is 1.2 minutes of arc
 * (normal sight parts 1 minute). Both must be three standard deviations beyond what the measurement may be off by.
 */
import type { Region } from '../../../core/index.js'
import { type Comparison, cannotTell, type Verdict } from '../../compare.js'
import { type Slide, type Span, slideOf, standing } from './model.js'

const TREMBLES = 0.3
const LEAVES = 1
const LEAVES_SHARE = 0.001
const WIDTH = 1920
const SURE = 3
/** Share of its frames on which its ground must be seen. */
const SEEN = 0.5

export interface SlideLook {
  readonly name: string
  /** Where it touches the ground is known; else its middle stands for it. */
  readonly foot: boolean
  /** Id of the track that it goes with. */
  readonly follows: string | undefined
  /** Whether it has keys of its own. */
  readonly keyed: boolean
  readonly spans: readonly Span[]
  /** Whether the element was made out in the finished file, or its document's placement stands for it. */
  readonly by: 'file' | 'document'
  /** How many frames it shows on, of those that were looked at and on which nothing passes. */
  readonly frames: number
  /** Longest jump of a stepping that another tell names, px; none where it does not step. */
  readonly jumpPx: number | undefined
  /** Where it lies on a frame. */
  readonly regionAt: (frame: number) => Region
  readonly plateWidth: number
}

export function compareSlide(l: SlideLook): Comparison {
  const spans = standing(l.spans)
  const slide = slideOf(spans)
  // Texture that is there now and then is what passes, and not what it stands on.
  const seen = new Set(spans.flatMap((s) => s.frames)).size
  if (slide === undefined || seen < SEEN * l.frames)
    return cannotTell(
      'slide',
      'place',
      `the plate shows no texture about ${anchorOf(l)} that could be followed`,
    )
  const rms = TREMBLES * Math.max(1, l.plateWidth / WIDTH)
  const trend = Math.max(LEAVES, LEAVES_SHARE * l.plateWidth)
  const measured = {
    slideRms: [slide.rms],
    slideTrend: [slide.trend],
    slidePlate: [slide.ways.plate],
    slideElement: [slide.ways.element],
  }
  const notes = {
    slide: `${l.by === 'file' ? IN_FILE : BY_DOCUMENT}; trembles by ${slide.rms.toFixed(2)} px rms${unseenNote(l, l.frames - seen)}`,
  }
  const verdicts: Verdict[] = []
  // Between two jumps it is behind by one of them.
  if (slide.trend > Math.max(trend + (l.jumpPx ?? 0), SURE * slide.spread.trend))
    verdicts.push(leaves(l, slide, trend, l.frames - seen))
  else if (l.jumpPx === undefined && slide.rms > Math.max(rms, SURE * slide.spread.rms))
    verdicts.push(trembles(l, slide, rms))
  return { verdicts, undecided: [], measured, notes }
}

const IN_FILE = 'followed in the finished file'
const BY_DOCUMENT = 'by where its document puts it: in the finished file it could not be followed'

function anchorOf({ name, foot }: Pick<SlideLook, 'name' | 'foot'>): string {
  return foot ? `the foot of ${name}` : `the middle of ${name}`
}

/** What it went while nothing of its ground was seen is in no figure: they are lower bounds then. */
function unseenNote({ frames }: SlideLook, unseen: number): string {
  return unseen <= 0
    ? ''
    : `; its ground was not seen on ${unseen} of ${frames} frames, and what went on there is not in this`
}

function leaves(l: SlideLook, s: Slide, limit: number, unseen: number): Verdict {
  const beyond = s.course.filter((c) => c.off > limit).map((c) => c.frame)
  const first = beyond[0] as number
  const still = l.follows === undefined && !l.keyed
  const far = `${unseen > 0 ? 'at least ' : ''}${px(s.trend)}`
  return {
    ...shared(l, s, beyond),
    measured: s.trend,
    limit,
    sentence: still
      ? `${l.name} stays in the frame while the plate moves under it: ${far} by frame ${s.at}, and seen from frame ${first} on.`
      : `${l.name} slides: on frame ${s.at} it is ${far} from the ground that it stood on, and it shows from frame ${first} on.`,
    cause: `${judged(
      l,
      still
        ? 'It goes with no track and has no keys.'
        : l.follows === undefined
          ? `Its keys do not go where the plate's own texture about ${anchorOf(l)} goes.`
          : l.keyed
            ? `Its keys, or the track "${l.follows}", do not go where the plate's own texture about ${anchorOf(l)} goes.`
            : `The track "${l.follows}" does not go where the plate's own texture about ${anchorOf(l)} goes: it lies at another depth, or it drifts.`,
    )}${unseen > 0 ? ` On ${unseen} of ${l.frames} frames its ground was not seen: what went on there is not in the figure.` : ''}`,
    remedy: still
      ? 'Let it follow a track of what it stands on (`follow`), or mark this as meant if it belongs to the lens and not to the scene.'
      : l.follows === undefined
        ? 'Let it follow a track of what it stands on, instead of keys.'
        : l.keyed
          ? 'Take its keys away, or change them; if it slides without them too, correct the track by hand (`corrections`).'
          : `Correct the track by hand about frame ${s.at} (\`corrections\`), or follow something nearer to where the element stands.`,
    contrast: s.trend / limit,
  }
}

function trembles(l: SlideLook, s: Slide, limit: number): Verdict {
  return {
    ...shared(
      l,
      s,
      s.course.map((c) => c.frame),
    ),
    measured: s.rms,
    limit,
    sentence: `${l.name} trembles against the plate: ${px(s.rms)} rms from frame to frame.`,
    cause: judged(
      l,
      l.follows === undefined
        ? 'Its keys do not go with the small unrest of the camera.'
        : `The track "${l.follows}" is noisier than the plate moves.`,
    ),
    remedy:
      l.follows === undefined
        ? 'Let it follow a track of what it stands on.'
        : 'Follow more points, or a stiffer motion; a region with more texture helps most.',
    contrast: s.rms / limit,
  }
}

function shared(l: SlideLook, s: Slide, frames: readonly number[]) {
  return {
    tell: 'slide',
    link: 'place',
    frames,
    region: l.regionAt(s.at),
    unit: 'px',
    expected: 0,
    confidence: l.foot ? 0.9 : 0.75,
  }
}

function judged({ by }: SlideLook, cause: string): string {
  return by === 'file' ? cause : `${cause} Judged ${BY_DOCUMENT}.`
}

function px(v: number): string {
  return `${v.toFixed(v < 10 ? 1 : 0)} px`
}
