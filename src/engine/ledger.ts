/** The ledger: links down; plate, element, treatment and result across. */
import type { Comparison } from '../chain/compare.js'
import { elementParams, plateParams } from '../chain/params.js'
import type { Evidence, Param } from '../core/index.js'
import { type Shot, type ShotElement, type Treatment, weakLinks } from '../shot/schema.js'
import { strengthOf } from '../shot/strength.js'
import { lookedRows } from './ledgerLooked.js'
import type { LedgerRow, Tell, Undecided } from './types.js'

/** Which tell judges a treatment, what the comparison calls its measure, and the measure's unit where it is not the treatment's. */
const JUDGED: Readonly<Record<string, { tell: string; measure: string; unit?: string }>> = {
  'light.plateBlack': { tell: 'blacks', measure: 'black' },
  'light.plateMiddle': { tell: 'middle', measure: 'middle' },
  'light.plateWhite': { tell: 'whites', measure: 'white' },
  'light.cast': { tell: 'unanswered-light', measure: 'rise', unit: 'stops' },
  'air.transmittance': { tell: 'haze', measure: 'air', unit: '× airlight in blacks' },
  'lens.blurRadius': { tell: 'edge-width', measure: 'edge', unit: 'px edge' },
  'sensor.elementVariance': { tell: 'grain-amount', measure: 'ratio', unit: '× plate' },
}

export interface Compared {
  readonly element?: ShotElement
  readonly comparison: Comparison
}

/** Rows for every treatment of the document, with verdicts where something was compared. */
export function ledgerRows(
  shot: Shot,
  compared: readonly Compared[],
  tells: readonly Tell[],
  undecided: readonly Undecided[],
): LedgerRow[] {
  const rows = plateParams.map((p) => plateRow(p, shot))
  for (const e of shot.elements) {
    const own = compared.filter((c) => c.element?.id === e.id).map((c) => c.comparison)
    const match = matchRow(e, own, tells, undecided)
    if (match !== undefined) rows.push(match)
    for (const p of elementParams) {
      const t = e.treatments[p.name as keyof typeof e.treatments] as Treatment | undefined
      if (t !== undefined) rows.push(elementRow(p, t, e, own, tells, undecided))
    }
  }
  return [...rows.filter((r) => r !== undefined), ...lookedRows(compared, tells, undecided)]
}

function plateRow(p: Param, shot: Shot): LedgerRow | undefined {
  const t = shot.plate.treatments[p.name as keyof typeof shot.plate.treatments] as Treatment | undefined
  if (t === undefined) return undefined
  return {
    ...head(p),
    ...('value' in t ? { plate: t.value, evidence: t.evidence as Evidence } : { note: t.cannotTell }),
    ...('value' in t ? { ...formNote(p, t.form), ...previewNote(p, t.value) } : {}),
    verdict: 'not checked',
  }
}

/** What is done in the plate's codes, which a preview has none of. */
const IN_CODES: ReadonlySet<string> = new Set(['sensor.overshoot', 'sensor.chromaBlur', 'sensor.smear'])

function previewNote({ name }: Param, value: readonly number[]): Pick<LedgerRow, 'note'> {
  return IN_CODES.has(name) && (value[0] ?? 0) > 0
    ? { note: 'The preview works in light and leaves this out; a render has it' }
    : {}
}

/** Which model numbers belong to, where it is not the one that the meaning tells of. */
function formNote(p: Param, form: string | undefined): Pick<LedgerRow, 'note'> {
  const found = p.forms?.find((f) => f.name === form)
  return found === undefined ? {} : { note: `The numbers are those of ${found.name}: ${found.meaning}.` }
}

/** What the match does in all, which no treatment says by itself: middle to middle, and how far the finished file is off. */
function matchRow(
  e: ShotElement,
  compared: readonly Comparison[],
  tells: readonly Tell[],
  undecided: readonly Undecided[],
): LedgerRow | undefined {
  const [from, to] = [e.treatments['light.elementMiddle'], e.treatments['light.plateMiddle']]
  if (from === undefined || to === undefined || !('value' in from) || !('value' in to)) return undefined
  if ([...from.value, ...to.value].some((v) => v <= 0)) return undefined
  const result = compared.map((c) => c.measured.off).find((m) => m !== undefined)
  const own = (x: Tell | Undecided) => x.tell === 'middle' && x.element === e.id
  const isTell = tells.some((t) => own(t) && !t.meant)
  return {
    link: 'light',
    quantity: 'match',
    unit: 'stops',
    meaning:
      "By how much the element's middle is brought to the plate's; then how far the finished file is off.",
    element: e.id,
    treatment: to.value.map((v, c) => Math.log2(v / (from.value[c] as number))),
    ...weakened('light', e),
    ...(result === undefined ? {} : { result }),
    verdict: isTell
      ? 'tell'
      : undecided.some(own)
        ? 'cannot tell'
        : result === undefined
          ? 'not checked'
          : 'fits',
  }
}

function elementRow(
  p: Param,
  t: Treatment,
  e: ShotElement,
  compared: readonly Comparison[],
  tells: readonly Tell[],
  undecided: readonly Undecided[],
): LedgerRow {
  const judged = JUDGED[p.name]
  const result =
    judged === undefined
      ? undefined
      : compared.map((c) => c.measured[judged.measure]).find((m) => m !== undefined)
  const isTell =
    judged !== undefined && tells.some((x) => x.tell === judged.tell && x.element === e.id && !x.meant)
  const open = judged !== undefined && undecided.some((x) => x.tell === judged.tell && x.element === e.id)
  const ofElement =
    p.name.startsWith('light.element') || p.name.startsWith('source.') || p.name.startsWith('sensor.element')
  const ofPlate = p.name.startsWith('light.plate') || p.name === 'light.surfaces' || p.name === 'air.airlight'
  const column = ofElement ? 'source' : ofPlate ? 'plate' : 'treatment'
  return {
    ...head(p),
    element: e.id,
    ...('value' in t ? { [column]: t.value, evidence: t.evidence as Evidence } : { note: t.cannotTell }),
    ...doneInPart(p, e),
    ...(result === undefined ? {} : { result }),
    ...(result === undefined || judged?.unit === undefined ? {} : { resultUnit: judged.unit }),
    verdict: isTell
      ? 'tell'
      : !('value' in t) || open
        ? 'cannot tell'
        : judged === undefined || result === undefined
          ? 'not checked'
          : 'fits',
  }
}

/** The treatment stands as it was found; that less of it is done is said beside it. */
function doneInPart(p: Param, e: ShotElement): Pick<LedgerRow, 'strength'> {
  return weakened(
    weakLinks.find((l) => p.name.startsWith(`${l}.`)),
    e,
  )
}

function weakened(link: (typeof weakLinks)[number] | undefined, e: ShotElement): Pick<LedgerRow, 'strength'> {
  const strength = link === undefined ? 1 : strengthOf(e, link)
  return strength === 1 ? {} : { strength }
}

function head(p: Param): { link: string; quantity: string; unit: string; meaning: string } {
  const [link = '', ...name] = p.name.split('.')
  const words = name.join('.').replace(/[A-Z]/g, (c) => ` ${c.toLowerCase()}`)
  return { link, quantity: words, unit: p.unit, meaning: p.meaning }
}
