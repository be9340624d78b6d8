/**
 * Frames blended from their neighbours: what remains of a frame after the best mixture of the one before and the one after is
 * far less than usual around it, and the mixture holds both. Slow motion is near a mixture everywhere: then there is no verdict.
 * Frames blended from pictures that the file does not hold are found by their pattern (`conversion.ts`). Common practice.
 */
import { median } from '../../core/index.js'
import { conversionOf } from './conversion.js'
import { cannotTell, type Finding, rounded } from './finding.js'
import type { Step } from './motion.js'
import { listed } from './runs.js'

const CODE = 'diagnose.blends'
const METHOD = 'what remains of a frame after the best mixture of its neighbours'
const USUAL = 0.06
const LOW = 0.3
/** What remains around a mixture: in less, motion is so slow there that codecs and hands make mixtures of their own. */
const AROUND = 0.1
/** Change over two frames, share of the code range: in less the codec's own mixtures (frames predicted both ways) show. */
const MOVES = 6e-3

export function blendsFinding(
  steps: readonly Step[],
  repeated: ReadonlySet<number>,
  looked: readonly number[],
): Finding {
  const changed = conversionOf(steps)
  if (changed !== undefined) {
    const { period, explained, softer, mixed } = changed
    return {
      code: CODE,
      verdict: 'fault',
      sentence: `Frames are mixtures of two pictures in a pattern of ${period}: its rate was changed by blending, and the pictures themselves are not in the file.`,
      confidence: explained > 0.93 && softer > 0.6 ? 0.75 : 0.65,
      frames: mixed,
      remedy: 'Ask for it at the rate it was shot at: from this file the pictures cannot be had back.',
      method: 'fine detail of each frame against its place in a pattern of mixtures',
      numbers: { period, explained: rounded(explained), softer: rounded(softer) },
    }
  }
  const known = steps.flatMap((s) => {
    const frame = s.frame - 1
    const b = s.blendOfLast
    if (b === undefined || (s.two ?? 0) < MOVES || repeated.has(frame) || repeated.has(s.frame)) return []
    return [{ frame, two: s.two ?? 0, ...b }]
  })
  if (known.length < 5)
    return cannotTell(
      CODE,
      'There are too few moving frames to see whether some are mixtures.',
      METHOD,
      looked,
    )
  const usual = median(known.map((k) => k.rest))
  const numbers = { usualRest: rounded(usual), frames: known.length }
  if (usual < USUAL)
    return cannotTell(
      CODE,
      'The motion is so slow that every frame is nearly a mixture of its neighbours.',
      METHOD,
      looked,
      numbers,
    )
  const found = known.filter((k, i) => {
    const near = known
      .slice(Math.max(0, i - 4), i + 5)
      .filter((o) => o !== k && Math.abs(o.frame - k.frame) > 0)
    // A frame amid a start or a stop is no mixture: it moves as far as those around it.
    const alike = near.length >= 4 && Math.abs(Math.log2(k.two / median(near.map((o) => o.two)))) < 0.45
    const beside = known.filter((o) => Math.abs(o.frame - k.frame) === 1)
    const lonely = beside.every((o) => o.rest > 2 * k.rest)
    const around = near.length === 0 ? 0 : median(near.map((o) => o.rest))
    const both = k.weight > 0.3 && k.weight < 0.7
    return alike && lonely && both && around > AROUND && k.rest < LOW * around
  })
  // Mixtures that follow one another are slow places, or a changed rate that this cannot tell.
  const alone = found.filter((f) => !found.some((o) => Math.abs(o.frame - f.frame) === 1))
  if (alone.length === 0)
    return {
      code: CODE,
      verdict: 'fine',
      // Of pictures without grain a changed rate leaves no pattern: said with less confidence.
      sentence: 'No frame is a mixture of its neighbours, and no pattern of mixtures shows.',
      confidence: 0.6,
      frames: looked,
      method: METHOD,
      numbers,
    }
  const frames = alone.map((f) => f.frame)
  return {
    code: CODE,
    verdict: 'fault',
    sentence: `${frames.length === 1 ? 'Frame' : 'Frames'} ${listed(frames)} ${frames.length === 1 ? 'is a mixture' : 'are mixtures'} of the one before and the one after.`,
    confidence: Math.min(...alone.map((f) => f.rest)) < 0.15 * usual ? 0.75 : 0.65,
    frames,
    remedy: 'Ask for the frames before they were mixed, or leave these out where nobody misses them.',
    method: METHOD,
    numbers: { ...numbers, weights: alone.slice(0, 12).map((f) => rounded(f.weight)) },
  }
}
