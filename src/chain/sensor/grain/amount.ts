/** How much grain the finished file has beside the plate's at like level, in all and in luma and colour apart; why, and what helps. */
import { median } from '../../../core/index.js'
import type { Comparison, Verdict } from '../../compare.js'
import { shownTogether } from './inBlock.js'
import type { GrainMeasure } from './measure.js'
import { documentTogether, type GrainModel, tableAt } from './model.js'
import { CB, type Codes, CR, LUMA, type Powers, powersOf } from './parted.js'
import { ENOUGH, LEAST_BLOCKS, type SeenBlock } from './seenBlock.js'

/** What one of the meters of grain says. */
export interface Part {
  readonly tell: string
  readonly verdict?: Omit<Verdict, 'link' | 'frames' | 'region'>
  readonly why?: string
}

/** Blocks whose grain stands above what the delivery errs by. */
export interface Clear {
  readonly light: readonly SeenBlock[]
  readonly luma: readonly SeenBlock[]
  readonly colour: readonly SeenBlock[]
}

/** What the plate's grain is held to be. */
export interface Norms {
  readonly norm: GrainMeasure
  /** As the document has it. */
  readonly fitted: GrainModel | undefined
  readonly codes: Codes
}

const [LEAST, MOST] = [0.7, 1.4]

export function amount(
  name: string,
  clear: Clear,
  norms: Norms,
): { readonly parts: readonly Part[]; readonly measured: Comparison['measured'] } {
  const light = [0, 1, 2].map((c) => ratioOf(clear.light, c))
  const measured = { ratio: light }
  const all = (): Part => inAll(name, clear.light, light, norms)
  const why = cannotPart(clear)
  if (why !== undefined) return { parts: [all(), { tell: 'grain-colour', why }], measured }
  const luma = sideOf([ratioOf(clear.luma, LUMA)], unsureOf(clear.luma, LUMA, norms))
  const colour = sideOf(
    [CB, CR].map((c) => ratioOf(clear.colour, c)),
    Math.max(...[CB, CR].map((c) => unsureOf(clear.colour, c, norms))),
  )
  const apart = { ...measured, grainApart: [luma.ratio, colour.ratio] }
  if (luma.side === colour.side) return { parts: [all()], measured: apart }
  return { parts: [inOne(name, clear, luma, colour, norms)], measured: apart }
}

/** Why luma and colour are not told apart. */
function cannotPart({ luma, colour }: Clear): string | undefined {
  if (luma.length < LEAST_BLOCKS || colour.length < LEAST_BLOCKS)
    return 'the delivery itself errs by more than the plate’s grain has colour'
  if (median(luma.map((b) => b.own)) > ENOUGH)
    return 'the element brings grain of its own, and nothing says how much of that is colour'
  return undefined
}

interface Side {
  /** 1 too much, −1 too little, 0 as it should be. */
  readonly side: -1 | 0 | 1
  readonly ratio: number
  readonly limit: number
  /** How far beyond it. */
  readonly contrast: number
}

/** @param ratios all of them, or of three two, must be out @param unsure a factor */
function sideOf(ratios: readonly number[], unsure: number): Side {
  const needed = Math.min(ratios.length, 2)
  const [least, most] = [LEAST / unsure, MOST * unsure]
  const low = ratios.filter((r) => r < least).length >= needed
  const high = ratios.filter((r) => r > most).length >= needed
  const ratio =
    ratios.length === 2 ? Math.sqrt((ratios[0] as number) * (ratios[1] as number)) : median(ratios)
  return {
    ...{ side: low ? -1 : high ? 1 : 0, ratio, limit: low ? least : most },
    contrast: low ? least / Math.max(ratio, 0.05) : ratio / most,
  }
}

function ratioOf(blocks: readonly SeenBlock[], power: number): number {
  const of = (p: Powers) => p[power] as number
  return median(blocks.map((b) => Math.sqrt((of(b.added) + of(b.held)) / of(b.wanted))))
}

/** How far the norm's own σ may be off at the blocks' levels: two spreads, a factor. Of luma and colour what channels have in common counts too. */
function unsureOf(blocks: readonly SeenBlock[], power: number, { norm, codes }: Norms): number {
  const { levels, variance, spread, shown, lagSpread } = norm
  const relative = blocks.map(({ level }) => {
    const at = (list: readonly number[]) => tableAt(levels, list, level[1])
    const own = at(spread[1]) / Math.max(at(variance[1]), at(shown.variance[1]), 1e-12)
    if (power < LUMA) return own
    // A correlation is known about as well as that of neighbours.
    const both = shownTogether(norm, level)
    const of = (mix: number) =>
      powersOf(both.map((v, i) => (i < 3 ? v : mix * v)) as never, level, codes)[power] as number
    const off = Math.abs(of(1) - of(1 - lagSpread[1])) / Math.max(of(1), 1e-12)
    return Math.sqrt(own * own + off * off)
  })
  return 1 + median(relative)
}

/** Times the norm's variance that the document's has. */
function documented(
  blocks: readonly SeenBlock[],
  power: number,
  { norm, fitted, codes }: Norms,
): number | undefined {
  if (fitted === undefined) return undefined
  return median(
    blocks.map(({ level }) => {
      const of = (both: ReturnType<typeof shownTogether>) => powersOf(both, level, codes)[power] as number
      return of(documentTogether(fitted, level)) / Math.max(of(shownTogether(norm, level)), 1e-12)
    }),
  )
}

function inAll(name: string, blocks: readonly SeenBlock[], ratios: readonly number[], norms: Norms): Part {
  const tell = 'grain-amount'
  const { side, ratio, limit, contrast } = sideOf(ratios, unsureOf(blocks, 1, norms))
  if (side === 0) return { tell }
  const document = documented(blocks, 1, norms)
  return {
    tell,
    verdict: {
      ...{ tell, unit: '×', measured: ratio, expected: 1, limit, confidence: 0.7, contrast },
      sentence: `${name} has ${ratio.toFixed(1)} × the grain of the plate at like level.`,
      ...(side < 0 ? tooLittle(document) : tooMuch(document, median(blocks.map((b) => b.own)))),
    },
  }
}

/** Luma is right and colour is not, or the other way round, or each is off its own way. */
function inOne(name: string, clear: Clear, luma: Side, colour: Side, norms: Norms): Part {
  const tell = 'grain-colour'
  const ofColour = colour.side !== 0
  const { side, ratio, limit, contrast } = ofColour ? colour : luma
  const document = ofColour ? documented(clear.colour, CB, norms) : documented(clear.luma, LUMA, norms)
  const right = ofColour ? luma : colour
  const [this_, other] = ofColour ? ['colour', 'luma'] : ['luma', 'colour']
  const beside =
    right.side === 0 ? `is right (${right.ratio.toFixed(2)} ×)` : `has ${right.ratio.toFixed(1)} ×`
  return {
    tell,
    verdict: {
      ...{ tell, unit: '×', measured: ratio, expected: 1, limit, confidence: 0.6, contrast },
      sentence: `The grain of ${name} has ${ratio.toFixed(1)} × the plate's ${this_} at like level, while its ${other} ${beside}.`,
      ...(side < 0 ? littleOf(this_ as string, document) : muchOf(this_ as string, document)),
    },
  }
}

/** How much the document's σ may differ from the norm's before it is what is wrong. */
const AGREES = 1.2

interface Words {
  readonly cause: string
  readonly remedy: string
}

function has(document: number, what: string): string {
  return `The document has ${Math.sqrt(document).toFixed(2)} × the ${what} that the plate shows on the frames looked at here.`
}

const CODEC: Words = {
  cause: 'The document has the plate’s grain; the delivery’s codec has smoothed it.',
  remedy: 'Deliver with more data, or in a codec that keeps fine detail.',
}
const REFIT = "Fit again after a change of the plate's frames; else set sensor.grainVariance to"

function tooLittle(document: number | undefined): Words {
  if (document === undefined)
    return {
      cause: 'Where it covers the plate, the plate’s grain went with it, and the document knows none.',
      remedy: 'Fit again, so that the plate’s grain is measured and topped up.',
    }
  if (Math.sqrt(document) * AGREES >= 1) return CODEC
  return { cause: has(document, 'grain'), remedy: `${REFIT} ${(1 / document).toFixed(1)} × what it is.` }
}

function tooMuch(document: number | undefined, own: number): Words {
  if (document !== undefined && Math.sqrt(document) > AGREES)
    return {
      cause: has(document, 'grain'),
      remedy: `${REFIT} ${(1 / document).toPrecision(2)} × what it is.`,
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

const MIX =
  'Fit again, so that what the channels of the plate’s grain have in common is measured (sensor.grainMix).'

function littleOf(what: string, document: number | undefined): Words {
  if (document !== undefined && Math.sqrt(document) * AGREES < 1)
    return { cause: has(document, `grain in ${what}`), remedy: MIX }
  return {
    cause: `The document has the plate’s grain; the delivery has smoothed its ${what}.`,
    remedy:
      what === 'colour'
        ? 'Deliver with more samples of colour (4:4:4, or R′G′B′), or with more data.'
        : CODEC.remedy,
  }
}

function muchOf(what: string, document: number | undefined): Words {
  if (document !== undefined && Math.sqrt(document) > AGREES)
    return { cause: has(document, `grain in ${what}`), remedy: MIX }
  return {
    cause: `Its ${what} is busier than the books say: grain of its own that was not measured.`,
    remedy: 'Take a cleaner element, or set sensor.elementVariance of the element to its own grain.',
  }
}
