/**
 * The form that most cameras' logarithmic curves share: a logarithm with a straight line below a cut.
 *
 *   V = c·log_B(a·L + b) + d   for L ≥ cut,   e·L + f below
 *
 *   L  light, 18 % grey = 0.18; V code value over the whole range of codes, 1023 of 10 bits = 1; B base of the logarithm
 *
 * The line goes on below 0 for ever, so that noise about black survives. Makers print 6 to 10 digits, and the two pieces
 * miss each other at the cut by up to 2e-6 (D-Log); codes between them decode to the cut itself, so that decoding never falls.
 *
 * Source: common form of the documents that the curves name.
 */
import { exp, ln } from '../../core/index.js'
import { type Curve, curve } from './curve.js'

export interface LogForm {
  readonly base: number
  readonly a: number
  readonly b: number
  readonly c: number
  readonly d: number
  readonly cut: number
  readonly e: number
  readonly f: number
}

type Words = Pick<Curve, 'name' | 'formula' | 'source'>

export function logCurve(words: Words, form: LogForm): Curve {
  const { a, b, d, cut, e, f } = form
  const c = form.c / ln(form.base)
  const line = e * cut + f
  const log = c * ln(a * cut + b) + d
  const low = Math.min(line, log)
  const high = Math.max(line, log)
  return curve({
    ...words,
    decode: (code) => (code < low ? (code - f) / e : code <= high ? cut : (exp((code - d) / c) - b) / a),
    encode: (light) => (light < cut ? e * light + f : c * ln(a * light + b) + d),
    domain: `all numbers; straight below ${Number(cut.toPrecision(6))}`,
  })
}
