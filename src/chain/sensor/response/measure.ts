/**
 * The camera's curve off a 24-patch chart or a bracketed card, as the rows that the document holds.
 *
 * How the chart lies is found: of its eight ways the one is taken whose colours agree best. A patch whose middle has two
 * halves 0.05 of the codes apart is none: the corners lie beside it, or a shadow's edge crosses it (a choice).
 */
import {
  type ChartResponse,
  type Response,
  responseOfBracket,
  responseOfChart,
  responseTable,
} from '../../../colour/index.js'
import {
  type CurveName,
  type Evidence,
  type FloatImage,
  intersect,
  type Primaries,
  type Reading,
  type Region,
  type Rgb,
  type Told,
  told,
} from '../../../core/index.js'
import { around, lies, type Patch, type Quad, readPatches } from './grid.js'

const UNEVEN = 0.05
const FEWEST_PIXELS = 16

/** What the plate's file says of its codes. */
export interface PlateCoding {
  readonly curve: CurveName
  readonly primaries: Primaries
}

/**
 * @param image R′ G′ B′ code values of the picture with the chart
 * @param corners centres of its corner patches, going round
 * @param patches the chart's own CIELAB values (D50); the published ones when absent
 */
export function measureChart(
  image: FloatImage,
  frame: number,
  corners: Quad,
  plate: PlateCoding,
  patches?: readonly Rgb[],
): Reading<readonly number[]> {
  const readings = lies.map(({ words, order }) => {
    const quad = order.map((k) => corners[k]) as unknown as Quad
    return { words, reading: chartAs(image, frame, quad, plate, patches) }
  })
  const good = readings.flatMap(({ words, reading }) => (told(reading) ? [{ words, reading }] : []))
  const miss = ({ reading }: { reading: Told<ChartResponse> }) => reading.value.colourDifference ?? Infinity
  const [best] = good.sort((a, b) => miss(a) - miss(b))
  if (best === undefined) return (readings[0] as { reading: { cannotTell: string } }).reading
  const { response, colourDifference } = best.reading.value
  const off = colourDifference === undefined ? '' : `, which lie ${colourDifference} ΔE off`
  const where = best.words === 'upright' ? '' : ` (it lies ${best.words})`
  return asRows(
    { value: response, evidence: best.reading.evidence },
    plate.curve,
    around(corners),
    `${off}${where}`,
  )
}

function chartAs(
  image: FloatImage,
  frame: number,
  corners: Quad,
  plate: PlateCoding,
  patches: readonly Rgb[] | undefined,
): Reading<ChartResponse> {
  const seen = readPatches(image, corners)
  if (seen === 'outside') return { cannotTell: 'the chart lies outside its picture, or partly so' }
  if (seen === 'small') return { cannotTell: 'the chart is too small in its picture' }
  const uneven = seen.findIndex((p: Patch) => p.apart > UNEVEN)
  if (uneven >= 0) {
    const { apart } = seen[uneven] as Patch
    return {
      cannotTell: `patch ${uneven + 1} of the chart is uneven: its halves lie ${Math.round(255 * apart)} of 255 apart; are the corners the centres of the corner patches?`,
    }
  }
  return responseOfChart(
    seen.map((p) => p.mean),
    plate.primaries,
    { frames: [frame], ...(patches === undefined ? {} : { patches }) },
  )
}

/** One exposure of the card: codes of its picture, and where in it the card is. */
export interface CardPicture {
  readonly image: FloatImage
  readonly frame: number
  readonly region: Region
  /** Exposure in stops, counted from anywhere. */
  readonly stops: number
}

/** @param cards the same card under different exposures; how light it is does not matter */
export function measureBracket(
  cards: readonly CardPicture[],
  plate: Pick<PlateCoding, 'curve'>,
): Reading<readonly number[]> {
  const shots: { stops: number; code: Rgb }[] = []
  for (const { image, region, stops } of cards) {
    const name = `the card of the exposure at ${stops} stops`
    const inside = intersect(image.region, region)
    if (inside.width !== region.width || inside.height !== region.height)
      return { cannotTell: `${name} lies outside its picture, or partly so` }
    if (region.width * region.height < FEWEST_PIXELS)
      return { cannotTell: `${name} is too small in its picture` }
    shots.push({ stops, code: meanOf(image, region) })
  }
  const frames = [...new Set(cards.map((c) => c.frame))]
  // A card's own lightness and the middle of the bracket only move the curve, and its table is set at middle grey.
  const reading = responseOfBracket(shots, 0.18, { frames })
  if (!told(reading)) return reading
  const first = (cards[0] as CardPicture).region
  const evidence = { ...reading.evidence, method: `${shots.length} exposures of a card` } as Evidence
  return asRows({ value: reading.value, evidence }, plate.curve, first, '')
}

function asRows(
  { value, evidence }: Told<Response>,
  curve: CurveName,
  region: Region,
  more: string,
): Reading<readonly number[]> {
  const rows = responseTable(value, curve)
  if ('cannotTell' in rows) return rows
  if (evidence.kind !== 'measured') return { value: rows, evidence }
  return {
    value: rows,
    evidence: { ...evidence, region, method: `${evidence.method}${more}; spread in stops` },
  }
}

function meanOf({ region: whole, data }: FloatImage, r: Region): Rgb {
  const total: [number, number, number] = [0, 0, 0]
  for (let y = r.y; y < r.y + r.height; y++) {
    for (let x = r.x; x < r.x + r.width; x++) {
      const i = 4 * ((y - whole.y) * whole.width + x - whole.x)
      for (const c of [0, 1, 2] as const) total[c] += data[i + c] as number
    }
  }
  const count = r.width * r.height
  return [total[0] / count, total[1] / count, total[2] / count]
}
