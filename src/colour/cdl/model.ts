/**
 * The grading decision of the ASC CDL, version 1.2: slope, offset and power a channel, then saturation.
 *
 *   standard   v = clamp(in·S + O)^P          out = clamp(Y + sat·(v − Y))
 *   unclamped  v = in·S + O, then v^P where v ≥ 0 and v itself below 0;  out = Y + sat·(v − Y)
 *   Y = 0.2126·v_R + 0.7152·v_G + 0.0722·v_B
 *
 *   in   code value in whatever encoding the decision was made on (the file does not say; `InputDescription` may)
 *   S    slope  ≥ 0     O  offset, any     P  power > 0     sat  saturation ≥ 0
 *   clamp holds a number to 0…1. The weights are those of BT.709 whatever the primaries, as the document says.
 *
 * The document's form is the clamping one, and it is the default here: it holds before the power (a negative base has
 * no real power) and again after saturation. The unclamped form is that of the Common LUT Format's `FwdNoClamp`, for
 * scene-linear light above 1; both agree wherever no clamp would have bitten. NaN stays NaN.
 *
 * Source: [asccdl] for the standard form, [clf] for the other.
 * @example slope 1.1 1 0.9, offset 0.01 0 −0.02, power 1 0.95 1.05, saturation 0.85: grey of 0.18 → 0.205867 0.195764 0.138544
 */
import type { Rgb } from '../../core/index.js'

/** What a decision does to a colour. */
export interface CdlValues {
  readonly slope: Rgb
  readonly offset: Rgb
  readonly power: Rgb
  readonly saturation: number
}

/** `standard` clamps to 0…1 as version 1.2 says; `unclamped` keeps what lies beyond. */
export type CdlForm = 'standard' | 'unclamped'

const clamp = (v: number) => Math.min(Math.max(v, 0), 1)

const raise: Readonly<Record<CdlForm, (v: number, power: number) => number>> = {
  standard: (v, power) => clamp(v) ** power,
  unclamped: (v, power) => (v < 0 ? v : v ** power),
}

/** The decision on one colour. */
export function cdl(values: CdlValues, form: CdlForm = 'standard'): (rgb: Rgb) => Rgb {
  return ([r, g, b]) => {
    const pixel = Float64Array.of(r, g, b, 1)
    applyCdl(pixel, values, form)
    return [pixel[0] as number, pixel[1] as number, pixel[2] as number]
  }
}

/** The decision on a picture of interleaved RGBA, in place; alpha is left as it is. */
export function applyCdl(
  data: Float32Array | Float64Array,
  { slope, offset, power, saturation }: CdlValues,
  form: CdlForm = 'standard',
): void {
  const up = raise[form]
  const hold = form === 'standard' ? clamp : (v: number) => v
  for (let i = 0; i + 3 < data.length; i += 4) {
    const r = up((data[i] as number) * slope[0] + offset[0], power[0])
    const g = up((data[i + 1] as number) * slope[1] + offset[1], power[1])
    const b = up((data[i + 2] as number) * slope[2] + offset[2], power[2])
    const y = 0.2126 * r + 0.7152 * g + 0.0722 * b
    data[i] = hold(y + saturation * (r - y))
    data[i + 1] = hold(y + saturation * (g - y))
    data[i + 2] = hold(y + saturation * (b - y))
  }
}
