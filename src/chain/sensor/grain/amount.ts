/** How much grain the finished file has beside the plate's at like level, why, and what helps. */
import { median, type Rgb } from '../../../core/index.js'
import type { Verdict } from '../../compare.js'
import type { GrainMeasure } from './measure.js'
import { type GrainModel, tableAt, varianceAt } from './model.js'

/** Share of the level's variance that grain must have before it means something. */
export const ENOUGH = 0.3

/** What one of the meters of grain says. */
export interface Part {
  readonly tell: string
  readonly verdict?: Omit<Verdict, 'link' | 'frames' | 'region'>
  readonly why?: string
}

/** What is looked at of a block. */
interface Block {
  readonly level: Rgb
  readonly wanted: Rgb
  readonly added: Rgb
  readonly held: Rgb
  readonly own: number
}

/** How far the norm's own σ may be off at the blocks' levels: two spreads, a factor. */
export function sureness(
  blocks: readonly Block[],
  { levels, variance, spread, shown }: GrainMeasure,
): number {
  const relative = blocks.map(({ level: [, green] }) => {
    const [off, all, with_] = [spread[1], variance[1], shown.variance[1]].map((list) =>
      tableAt(levels, list, green),
    )
    return (off as number) / Math.max(all as number, with_ as number, 1e-12)
  })
  return 1 + median(relative)
}

/** Times the norm's variance that the document's has, and what the element brings along of it. */
interface Why {
  readonly document: number | undefined
  readonly own: number
}

export function whyOf(blocks: readonly Block[], norm: GrainMeasure, fitted: GrainModel | undefined): Why {
  const { levels, shown } = norm
  const document =
    fitted &&
    median(blocks.map(({ level: [, g] }) => varianceAt(fitted, 1, g) / tableAt(levels, shown.variance[1], g)))
  return { document, own: median(blocks.map((b) => b.own)) }
}

/** How much the document's σ may differ from the norm's before it is what is wrong. */
const AGREES = 1.2

export function amount(name: string, ratios: readonly number[], unsure: number, why: Why): Part {
  const tell = 'grain-amount'
  const [least, most] = [0.7 / unsure, 1.4 * unsure]
  const low = ratios.filter((r) => r < least).length >= 2
  const high = ratios.filter((r) => r > most).length >= 2
  if (!low && !high) return { tell }
  const r = median(ratios)
  return {
    tell,
    verdict: {
      tell,
      unit: '×',
      measured: r,
      expected: 1,
      limit: low ? least : most,
      confidence: 0.7,
      sentence: `${name} has ${r.toFixed(1)} × the grain of the plate at like level.`,
      ...(low ? tooLittle(why) : tooMuch(why)),
      contrast: low ? least / Math.max(r, 0.05) : r / most,
    },
  }
}

function tooLittle({ document }: Why): { cause: string; remedy: string } {
  const sigma = Math.sqrt(document ?? 0)
  if (document !== undefined && sigma * AGREES >= 1)
    return {
      cause: 'The document has the plate’s grain; the delivery’s codec has smoothed it.',
      remedy: 'Deliver with more data, or in a codec that keeps fine detail.',
    }
  if (document === undefined)
    return {
      cause: 'Where it covers the plate, the plate’s grain went with it, and the document knows none.',
      remedy: 'Fit again, so that the plate’s grain is measured and topped up.',
    }
  return {
    cause: `The document has ${sigma.toFixed(2)} × the grain that the plate shows on the frames looked at here.`,
    remedy: `Fit again after a change of the plate's frames; else set sensor.grainVariance to ${(1 / document).toFixed(1)} × what it is.`,
  }
}

function tooMuch({ document, own }: Why): { cause: string; remedy: string } {
  if (document !== undefined && Math.sqrt(document) > AGREES)
    return {
      cause: `The document has ${Math.sqrt(document).toFixed(1)} × the grain that the plate shows on the frames looked at here.`,
      remedy: `Fit again after a change of the plate's frames; else set sensor.grainVariance to ${(1 / document).toPrecision(2)} × what it is.`,
    }
  if (own > ENOUGH)
    return {
      cause: 'Its own grain came along and was raised by the match.',
      remedy: 'Take a cleaner element, or one that is scaled down more.',
    }
  return {
    cause:
      'It is busier than the books say: grain of its own that was not measured, or what the codec made of its texture.',
    remedy: 'Set sensor.elementVariance of the element to its own grain, or deliver with more data.',
  }
}
