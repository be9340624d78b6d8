/**
 * A camera's curve from one picture of a 24-patch chart. The six greys make the curve; the eighteen colours, which a
 * camera sees through primaries of its own, judge it: taken to light by the curve, one 3×3 matrix (least squares) must
 * bring them to their published colours. A wrong curve leaves colours that no matrix brings home.
 *
 *   M = argmin Σ |M·f⁻¹(codeᵢ) − lightᵢ|²,   d = mean ΔE00(M·f⁻¹(codeᵢ), lightᵢ)
 *
 * Confidence falls by e^(−(d − 3)/6) above 3; above 10 nothing is said. A good camera keeps its colours to about 3
 * (common practice).
 *
 * Source: [cie015] for CIELAB; the patches by `chartPatches`. Linear algebra: ml-matrix (QR).
 */
import { Matrix, solve } from 'ml-matrix'
import { type Primaries, Problem, type Reading, type Rgb, told } from '../../core/index.js'
import { deltaE2000 } from '../difference.js'
import { type Matrix3, multiply3, transform3 } from '../matrix3.js'
import { adaptation, conversion, whiteOf } from '../primaries.js'
import { decodeResponse, type Response } from './curve.js'
import { fitResponse } from './fit.js'
import { chartPatches } from './patches.js'

const D50 = [0.34567, 0.3585] as const
const GREYS = 6
const LEAST_COLOURS = 8
const GOOD = 3
const WRONG = 10

/** A curve, and how well the chart's colours bear it out. */
export interface ChartResponse {
  readonly response: Response
  /** Mean ΔE00 of the colours after the best matrix; undefined where too few of them were usable. */
  readonly colourDifference?: number
}

/**
 * The curve by a chart that fills as light what its patches reflect: a white of 100 % would be 1 in every channel.
 *
 * @param codes mean code values R′ G′ B′ of the 24 patches, nominal 0…1, row by row, white first in the last row
 * @param primaries of the plate
 * @param options frames for the evidence; `clip` as in `fitResponse`; `patches`: the chart's own CIELAB values (D50)
 * @returns cannot tell where the greys do not make a curve, or the colours deny it
 * @throws Problem `colour.response-chart` where there are not 24 patches
 */
export function responseOfChart(
  codes: readonly Rgb[],
  primaries: Primaries,
  options: { readonly frames: readonly number[]; readonly clip?: number; readonly patches?: readonly Rgb[] },
): Reading<ChartResponse> {
  const patches = options.patches ?? chartPatches
  for (const [what, list] of Object.entries({ 'code values': codes, 'published values': patches })) {
    if (list.length === 24) continue
    throw new Problem({
      code: 'colour.response-chart',
      what: `a chart has other ${what}`,
      expected: '24 patches',
      received: String(list.length),
    })
  }
  const lights = chartLights(patches, primaries)
  const from = codes.length - GREYS
  const greys = codes.slice(from).map((code, i) => ({ code, light: lights[from + i] as Rgb }))
  const { frames, clip } = options
  const method = 'the six greys of a 24-patch chart, judged by its colours'
  const reading = fitResponse(greys, { frames, method, ...(clip === undefined ? {} : { clip }) })
  if (!told(reading)) return reading
  const response = reading.value
  const colourDifference = judged(response, codes.slice(0, from), lights, primaries)
  if (colourDifference === undefined) return { ...reading, value: { response } }
  if (colourDifference > WRONG) {
    return {
      cannotTell: `the greys make a curve, but the colours lie ${colourDifference.toFixed(1)} ΔE off under it: another chart, uneven light, or a picture treated by place`,
    }
  }
  const { evidence } = reading
  if (evidence.kind !== 'measured') return { ...reading, value: { response, colourDifference } }
  const doubt = Math.exp(-Math.max(colourDifference - GOOD, 0) / 6)
  return {
    value: { response, colourDifference },
    evidence: { ...evidence, confidence: Number((evidence.confidence * doubt).toFixed(2)) },
  }
}

/** Linear light of CIELAB (D50) patches in some primaries, white as the space's own. */
export function chartLights(patches: readonly Rgb[], primaries: Primaries): readonly Rgb[] {
  const toSpace = multiply3(conversion('xyz', primaries), adaptation(D50, whiteOf('xyz')))
  const white: Rgb = [D50[0] / D50[1], 1, (1 - D50[0] - D50[1]) / D50[1]]
  return patches.map(([l, a, b]) => {
    const fy = (l + 16) / 116
    return transform3(toSpace, [white[0] * cube(fy + a / 500), cube(fy), white[2] * cube(fy - b / 200)])
  })
}

/** Inverse of CIELAB's cube root with its straight toe. */
function cube(f: number): number {
  return f > 6 / 29 ? f ** 3 : (f - 4 / 29) * 3 * (6 / 29) ** 2
}

function judged(
  response: Response,
  codes: readonly Rgb[],
  lights: readonly Rgb[],
  primaries: Primaries,
): number | undefined {
  const decode = response.map(decodeResponse)
  const inside = codes.flatMap((code, i) => {
    const known = code.every((v, c) => {
      const range = response[c as 0 | 1 | 2].codes
      return v >= (range[0] as number) && v <= (range.at(-1) as number)
    })
    const seen = code.map((v, c) => decode[c]?.(v) ?? Number.NaN)
    return known ? [{ seen, light: lights[i] as Rgb }] : []
  })
  if (inside.length < LEAST_COLOURS) return undefined
  const found = solve(
    new Matrix(inside.map(({ seen }) => seen)),
    new Matrix(inside.map(({ light }) => [...light])),
  )
  const m = found.transpose().to1DArray() as unknown as Matrix3
  const differences = inside.map(({ seen, light }) =>
    deltaE2000(transform3(m, seen as unknown as Rgb), light, primaries),
  )
  return Number((differences.reduce((sum, d) => sum + d, 0) / differences.length).toPrecision(3))
}
