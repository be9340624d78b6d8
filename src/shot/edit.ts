/**
 * Edits of a shot document: pure functions from document to document. What they are given is left as it is.
 */
import { elementParams, plateParams } from '../chain/params.js'
import { type Param, type ParamForm, Problem } from '../core/index.js'
import { inStep } from './lists.js'
import { nearest } from './nearest.js'
import type { Shot, ShotElement, Treatment } from './schema.js'

/** Found by a command of its own (`lens`): a fit does not look for them. */
const APART = ['lens.distortion', 'lens.axis'] as const

/** What comes from a published profile, and what has to be measured to take its place. */
const PUBLISHED = [
  ['lens.aberration', 'lens.aberration'],
  ['lens.aberrationCurve', 'lens.aberration'],
  ['lens.vignette', 'lens.vignette'],
] as const

type TreatmentMap = ShotElement['treatments']

/**
 * Sets a treatment by hand; a new fit keeps it.
 *
 * @param target an element's id, or `plate`
 * @param name `link.name`, as in the link's params
 * @param value as many numbers as the parameter, or its form, has, in its unit and range
 * @param said of a parameter with several forms the one that is meant; else that which stands in the document, or the first
 * @throws Problem `shot.unknown-element`, `shot.unknown-treatment`, `shot.unknown-form`, `shot.wrong-value`
 */
export function setTreatment(
  shot: Shot,
  target: string,
  name: string,
  value: readonly number[],
  { note, form }: { readonly note?: string | undefined; readonly form?: string | undefined } = {},
): Shot {
  const param = paramOf(shot, target, name)
  const evidence = { kind: 'set' as const, ...(note === undefined ? {} : { note }) }
  return withTreatments(shot, target, (old) => {
    const model = formOf(param, form, old[name] as Treatment | undefined)
    checkValue(param, value, model)
    return { ...old, [name]: { value: [...value], ...(model && { form: model.name }), evidence } }
  })
}

/** Takes a treatment out, so that the next fit derives it anew. @throws as `setTreatment` */
export function clearTreatment(shot: Shot, target: string, name: string): Shot {
  paramOf(shot, target, name)
  return withTreatments(shot, target, ({ [name]: _, ...rest }) => rest)
}

/**
 * The document as it is now with the treatments of a fit, which began on an older state of it. Treatments set by hand
 * stay, and those that a command of their own finds; so do elements that came in the meantime. Nothing but treatments is taken from
 * the fit.
 */
export function mergeFit(now: Shot, fitted: Shot): Shot {
  return {
    ...now,
    plate: { ...now.plate, treatments: merged(plateParams, now.plate.treatments, fitted.plate.treatments) },
    elements: now.elements.map((e) => {
      const fit = fitted.elements.find((f) => f.id === e.id)
      return fit === undefined ? e : { ...e, treatments: merged(elementParams, e.treatments, fit.treatments) }
    }),
  }
}

/** Marks a tell as wanted, at the measured value that it has now. An older mark of the same tell is replaced. */
export function markMeant(shot: Shot, mark: Shot['meant'][number]): Shot {
  const others = shot.meant.filter((m) => m.tell !== mark.tell || m.element !== mark.element)
  return { ...shot, meant: [...others, mark] }
}

/** Takes the mark off, so that the tell speaks again. */
export function unmarkMeant(shot: Shot, tell: string, element: string | undefined): Shot {
  return { ...shot, meant: shot.meant.filter((m) => m.tell !== tell || m.element !== element) }
}

/** An element by its id. @throws Problem `shot.unknown-element` */
export function elementOf(shot: Shot, id: string): ShotElement {
  const found = shot.elements.find((e) => e.id === id)
  if (found !== undefined) return found
  throw unknown(
    'shot.unknown-element',
    'No element is called',
    id,
    shot.elements.map((e) => e.id),
  )
}

/** The document with one element changed. @throws Problem `shot.unknown-element` */
export function withElement(shot: Shot, id: string, change: (e: ShotElement) => ShotElement): Shot {
  elementOf(shot, id)
  return { ...shot, elements: shot.elements.map((e) => (e.id === id ? change(e) : e)) }
}

function merged(params: readonly Param[], now: TreatmentMap, fitted: TreatmentMap): TreatmentMap {
  const apart = APART.flatMap((name) => (now[name] === undefined ? [] : [[name, now[name]] as const]))
  const all = { ...fitted, ...Object.fromEntries(apart), ...published(now, fitted), ...byHand(now) }
  return inStep(params, now, all)
}

/** What a published profile says of the lens, as far as the fit saw nothing of it itself. */
function published(now: TreatmentMap, fitted: TreatmentMap): TreatmentMap {
  const seen = (name: string) => {
    const t = fitted[name] as Treatment | undefined
    return t !== undefined && 'value' in t
  }
  return Object.fromEntries(
    PUBLISHED.flatMap(([name, unless]) => {
      const t = now[name] as Treatment | undefined
      const kept = t !== undefined && 'value' in t && t.evidence.kind === 'derived' && !seen(unless)
      return kept ? [[name, t] as const] : []
    }),
  )
}

/** Those treatments that a person set: all that a fit takes over. */
export function byHand(treatments: TreatmentMap): TreatmentMap {
  const set = Object.entries(treatments).filter(([, t]) => isSet(t as Treatment | undefined))
  return Object.fromEntries(set)
}

function isSet(t: Treatment | undefined): boolean {
  return t !== undefined && 'evidence' in t && t.evidence.kind === 'set'
}

function withTreatments(shot: Shot, target: string, change: (old: TreatmentMap) => TreatmentMap): Shot {
  if (target === 'plate') {
    return { ...shot, plate: { ...shot.plate, treatments: change(shot.plate.treatments) } }
  }
  return withElement(shot, target, (e) => ({ ...e, treatments: change(e.treatments) }))
}

function paramOf(shot: Shot, target: string, name: string): Param {
  const targets = ['plate', ...shot.elements.map((e) => e.id)]
  if (!targets.includes(target))
    throw unknown('shot.unknown-element', 'No element is called', target, targets)
  const params = target === 'plate' ? plateParams : elementParams
  const param = params.find((p) => p.name === name)
  if (param !== undefined) return param
  const what = target === 'plate' ? 'The plate has no treatment called' : 'No element treatment is called'
  throw unknown(
    'shot.unknown-treatment',
    what,
    name,
    params.map((p) => p.name),
  )
}

/** Nothing for the one that need not be named. */
function formOf(param: Param, asked: string | undefined, old: Treatment | undefined): ParamForm | undefined {
  const { forms = [] } = param
  const name = asked ?? (old !== undefined && 'value' in old ? old.form : undefined)
  if (name === undefined || name === forms[0]?.name) return undefined
  const found = forms.find((f) => f.name === name)
  if (found !== undefined) return found
  const names = forms.map((f) => f.name)
  throw unknown('shot.unknown-form', `${param.name} has no form called`, name, names)
}

function checkValue(param: Param, value: readonly number[], form: ParamForm | undefined): void {
  const fault = (expected: string) =>
    new Problem({
      code: 'shot.wrong-value',
      what: `This does not fit ${param.name}`,
      where: param.name,
      expected: param.unit === '–' ? expected : `${expected} (${param.unit})`,
      received: value.join(' ') || 'nothing',
    })
  const { count } = form ?? param
  if (count > 0 && value.length !== count) {
    const of = param.forms && ` of the form ${(form ?? param.forms[0])?.name}`
    throw fault(`${count === 1 ? 'one number' : `${count} numbers`}${of ?? ''}`)
  }
  if (value.some((v) => !(v >= param.min && v <= param.max))) throw fault(`${param.min} to ${param.max}`)
}

function unknown(code: string, what: string, received: string, known: readonly string[]): Problem {
  const near = nearest(received, known)
  return new Problem({
    code,
    what: `${what} "${received}"`,
    where: received,
    expected: known.join(', '),
    ...(near === undefined ? {} : { remedy: `Did you mean "${near}"?` }),
  })
}
