/**
 * Edits as plain data: what a page sends and a history keeps. `applyEdit` is a pure function from document to document; what may
 * stand in the result is the schema's and the rules' to say.
 */
import { z } from 'zod'
import { Problem } from '../core/index.js'
import { clearTreatment, elementOf, markMeant, setTreatment, unmarkMeant, withElement } from './edit.js'
import { schemaFaults } from './faults.js'
import { type FileRecord, type OverrideName, spokenFor } from './overrides.js'
import { type Shot, type ShotElement, shotSchema, weakLinks } from './schema.js'
import { applyShapeEdit, shapeEdits } from './shapeEdit.js'
import { driftSchema, timeSchema } from './timeSchema.js'
import { followSchema } from './trackSchema.js'

const id = z.string()
const element = { element: id }
const parts = shotSchema.shape.elements.unwrap().element.shape
const cameraFields = [
  'sensorWidthMm',
  'focalLengthMm',
  'fNumber',
  'focusM',
  'shutterAngleDeg',
  'iso',
] as const
const siteFields = ['airTemperatureC', 'visibilityM'] as const
const overrides = ['alpha', 'range', 'matrix', 'curve', 'primaries', 'rate'] as const satisfies OverrideName[]

export const editSchema = z.discriminatedUnion('kind', [
  /** A scale takes a real height out, and the other way round: each says the size. */
  z.strictObject({
    kind: z.literal('place'),
    ...element,
    position: parts.position.optional(),
    scale: z.number().positive().optional(),
    heightM: z.number().positive().optional(),
    distanceM: z.number().positive().nullable().optional(),
    startFrame: z.number().int().optional(),
    /** Null: stands still; has no movement, no time of its own. */
    follow: followSchema.nullable().optional(),
    drift: driftSchema.nullable().optional(),
    time: timeSchema.nullable().optional(),
  }),
  z.strictObject({
    kind: z.literal('compareWith'),
    ...element,
    region: parts.compareWith.unwrap().nullable(),
  }),
  z.strictObject({
    kind: z.literal('treatment'),
    target: id,
    name: z.string(),
    /** Null leaves it to the next fit. */
    value: z.array(z.number()).nullable(),
    /** The model that the numbers belong to, where there are several; the one in the document when absent. */
    form: z.string().optional(),
  }),
  z.strictObject({
    kind: z.literal('link'),
    ...element,
    link: z.enum(weakLinks),
    strength: z.number().min(0).max(1).optional(),
    off: z.boolean().optional(),
  }),
  /** What a file is taken for; null believes its tags again. */
  z.strictObject({
    kind: z.literal('override'),
    target: id,
    field: z.enum(overrides),
    value: z.string().nullable(),
  }),
  z.strictObject({ kind: z.literal('nature'), ...element, value: parts.nature }),
  z.strictObject({
    kind: z.literal('camera'),
    field: z.enum(cameraFields),
    value: z.number().nullable(),
  }),
  z.strictObject({ kind: z.literal('site'), field: z.enum(siteFields), value: z.number().nullable() }),
  z.strictObject({
    kind: z.literal('meant'),
    tell: z.string(),
    element: id.optional(),
    measured: z.number(),
  }),
  z.strictObject({ kind: z.literal('notMeant'), tell: z.string(), element: id.optional() }),
  z.strictObject({ kind: z.literal('removeElement'), ...element }),
  ...shapeEdits,
])

export type Edit = z.output<typeof editSchema>
type Of<K extends Edit['kind']> = Extract<Edit, { kind: K }>

/**
 * An edit from outside, checked.
 * @throws Problem `shot.bad-edit`
 */
export function parseEdit(input: unknown): Edit {
  const parsed = editSchema.safeParse(input)
  if (parsed.success) return parsed.data
  throw new Problem({
    code: 'shot.bad-edit',
    what: 'This is no edit of a shot',
    where: 'edit',
    faults: schemaFaults(parsed.error.issues, input),
  })
}

/**
 * The document with the edit made; the one given stays as it is. Values that the document's rules refuse (a height without a
 * distance) are refused where the result is parsed.
 *
 * @throws Problem `shot.unknown-element`, or as `setTreatment` and `applyShapeEdit`
 */
export function applyEdit(shot: Shot, edit: Edit): Shot {
  switch (edit.kind) {
    case 'place':
      return withElement(shot, edit.element, (e) => placed(e, edit))
    case 'compareWith':
      return withElement(shot, edit.element, ({ compareWith: _, ...e }) =>
        edit.region === null ? e : { ...e, compareWith: edit.region },
      )
    case 'treatment':
      return edit.value === null
        ? clearTreatment(shot, edit.target, edit.name)
        : setTreatment(shot, edit.target, edit.name, edit.value, { form: edit.form })
    case 'link':
      return withElement(shot, edit.element, (e) => weakened(e, edit))
    case 'override':
      return overridden(shot, edit)
    case 'nature':
      return withElement(shot, edit.element, (e) => ({ ...e, nature: edit.value }))
    case 'camera':
      return { ...shot, camera: withField(shot.camera, edit.field, edit.value) }
    case 'site':
      return { ...shot, site: withField(shot.site, edit.field, edit.value) }
    case 'meant': {
      const { kind: _, ...mark } = edit
      return markMeant(shot, mark)
    }
    case 'notMeant':
      return unmarkMeant(shot, edit.tell, edit.element)
    case 'removeElement':
      return without(shot, edit.element)
    default:
      return applyShapeEdit(shot, edit)
  }
}

function placed(e: ShotElement, edit: Of<'place'>): ShotElement {
  const size =
    edit.scale !== undefined ? { heightM: null } : edit.heightM !== undefined ? { scale: null } : undefined
  const said = { ...size, ...edit }
  const fields = [
    ...(['position', 'scale', 'heightM', 'distanceM', 'startFrame'] as const),
    ...(['follow', 'drift', 'time'] as const),
  ]
  return fields.reduce((made, name) => {
    const value = said[name]
    return value === undefined ? made : withField(made, name, value)
  }, e)
}

function weakened(e: ShotElement, { link, strength, off }: Of<'link'>): ShotElement {
  const old: { readonly strength?: number | undefined; readonly off?: true | undefined } =
    e.links?.[link] ?? {}
  const strong = withField(old, 'strength', known(strength ?? old.strength, 1))
  const now = withField(strong, 'off', known(off ?? old.off, false))
  return withField(e, 'links', emptied(withField(e.links ?? {}, link, emptied(now))))
}

/** Null for what need not be said. */
function known<T>(value: T | undefined, silent: T): T | null {
  return value === undefined || value === silent ? null : value
}

function emptied<T extends object>(record: T): T | null {
  return Object.keys(record).length === 0 ? null : record
}

/** By hand: evidence that spoke for what stood there goes. */
function overridden(shot: Shot, { target, field, value }: Of<'override'>): Shot {
  const change = <T extends FileRecord>(record: T): T => {
    const evidence: Record<string, unknown> = { ...record.evidence }
    delete evidence[field]
    if (value !== null) evidence[field] = spokenFor({ kind: 'set' }, value)
    const { evidence: _, ...rest } = withField(record, field, value)
    return (Object.keys(evidence).length === 0 ? rest : { ...rest, evidence }) as unknown as T
  }
  if (target !== 'plate') return withElement(shot, target, change)
  return { ...shot, plate: change(shot.plate) }
}

/** Others that stand inside it stand alone again, and marks on it go. */
function without(shot: Shot, gone: string): Shot {
  elementOf(shot, gone)
  const elements = shot.elements
    .filter((e) => e.id !== gone)
    .map((e) => (e.inside === gone ? withField(e, 'inside', null) : e))
  return { ...shot, elements, meant: shot.meant.filter((m) => m.element !== gone) }
}

function withField<T extends object>(record: T, field: string, value: unknown): T {
  const { [field]: _, ...rest } = record as Record<string, unknown>
  return (value === null ? rest : { ...rest, [field]: value }) as T
}
