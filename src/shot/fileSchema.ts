/** A file that a document names, and evidence of any number: what every part of the document is made of. */
import { z } from 'zod'
import { curveNames, matrixNames, primariesNames } from '../core/index.js'

export const positive = z.number().positive()

export const region = z.strictObject({
  x: z.number().int(),
  y: z.number().int(),
  width: z.number().int().positive(),
  height: z.number().int().positive(),
})

const measured = z.strictObject({
  kind: z.literal('measured'),
  frames: z.array(z.number().int().nonnegative()),
  region: region.optional(),
  method: z.string(),
  spread: z.number().nonnegative().optional(),
  confidence: z.number().min(0).max(1),
})
const derived = z.strictObject({
  kind: z.literal('derived'),
  formula: z.string(),
  inputs: z.record(z.string(), z.union([z.number(), z.string(), z.array(z.number())])),
  confidence: z.number().min(0).max(1),
})
const set = z.strictObject({ kind: z.literal('set'), note: z.string().optional() })
const assumed = z.strictObject({
  kind: z.literal('assumed'),
  why: z.string(),
  confidence: z.number().min(0).max(1),
})
export const evidence = z.discriminatedUnion('kind', [measured, derived, set, assumed])

/** The value that evidence beside an override speaks for: where another one stands there, a person has changed it. */
const of = { value: z.string().optional() }
export const spoken = z
  .discriminatedUnion('kind', [measured.extend(of), derived.extend(of), set.extend(of), assumed.extend(of)])
  .optional()

export const curve = z.enum(curveNames)
const primaries = z.enum(primariesNames)
export const matrix = z.enum(matrixNames)
/** `24`, `23.976` is refused: `24000/1001`. */
const rate = z.string().regex(/^[1-9]\d*(\/[1-9]\d*)?$/, 'a frame rate such as "24" or "24000/1001"')

/** Where overrides come from, by their names; what is not named was set by hand. */
export const fileEvidence = { curve: spoken, primaries: spoken, matrix: spoken, range: spoken, rate: spoken }

/** A file and what overrides its tags. */
export const file = {
  file: z.string().min(1),
  curve: curve.optional(),
  primaries: primaries.optional(),
  matrix: matrix.optional(),
  range: z.enum(['limited', 'full']).optional(),
  /** True frame rate, where the file lies or says nothing. */
  rate: rate.optional(),
  /** OpenEXR: the layer, channel or part to read, as `diagnose` names them. */
  layer: z.string().min(1).optional(),
  /** Only this one picture, though its name has a number and others stand beside it. */
  still: z.literal(true).optional(),
  evidence: z.strictObject(fileEvidence).optional(),
}
