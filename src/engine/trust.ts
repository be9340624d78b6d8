/**
 * How far light can be trusted that was decoded from a file's codes. This is the one place for the rule:
 *
 *   curve set in the document                       1
 *   curve measured (`sensor.response`)              as sure as that measurement
 *   linear light, PQ, a camera's log curve          as sure as the tag or the convention of the format
 *   any other: BT.709, sRGB, a gamma, HLG           the lesser of that and 0.7: it is `assumed`, whatever the tag says, for
 *                                                   phones and picture profiles bend it to please
 *
 * Where range or matrix were only measured (`diagnose --fix`), it is no surer than they are. What is measured in the light of such a
 * file, and what is derived from its levels, is sure by that factor less. 0.7: common
 * practice, half a stop of doubt in highlights and shadows.
 */
import { type CurveName, confidenceOf, type Evidence, type Reading, told } from '../core/index.js'
import type { Source } from '../media/index.js'
import type { ShotElement } from '../shot/schema.js'
import type { FitContext } from './context.js'

const ASSUMED = 0.7

/** Curves that cameras bend: what a picture is to look like, not what the sensor saw. */
const BENT: ReadonlySet<CurveName> = new Set([
  'srgb',
  'bt709',
  'bt1886',
  'gamma22',
  'gamma24',
  'gamma26',
  'gamma28',
  'hlg',
])

/** Whether the file's curve is only assumed: nobody set or measured it, and cameras bend such curves. */
export function curveAssumed({ info }: Pick<Source, 'info'>): boolean {
  const { encoding, encodingEvidence } = info
  return encoding.response === undefined && encodingEvidence.curve.kind !== 'set' && BENT.has(encoding.curve)
}

/** 0 to 1. */
export function curveTrust(source: Pick<Source, 'info'>): number {
  const { curve, range, matrix } = source.info.encodingEvidence
  // Of tags and hands these are 1; a convention's doubt is the curve's own.
  const measured = [range, matrix].filter((e) => e.kind === 'measured').map(confidenceOf)
  const own = Math.min(confidenceOf(curve), ...measured)
  return curveAssumed(source) ? Math.min(own, ASSUMED) : own
}

/** Trust in the light of an element's own file. */
export function elementTrust(e: Pick<ShotElement, 'id'>, c: Pick<FitContext, 'sources'>): number {
  const source = c.sources.elements.get(e.id)
  return source === undefined ? 1 : curveTrust(source)
}

/** Evidence of a value that was read in light which is trusted so far. */
export function doubted(evidence: Evidence, trust: number): Evidence {
  if (evidence.kind === 'set' || trust === 1) return evidence
  return { ...evidence, confidence: Number((evidence.confidence * trust).toPrecision(4)) }
}

/** The same of a reading. */
export function doubtedReading<T>(reading: Reading<T>, trust: number): Reading<T> {
  return told(reading) ? { ...reading, evidence: doubted(reading.evidence, trust) } : reading
}
