/** Lists of a document whose lengths hang on each other, as their parameters declare (`holds`, `ascending`). */
import type { Param, ParamTimes, ProblemDetail } from '../core/index.js'
import type { Treatment } from './schema.js'

type Treatments = Readonly<Record<string, Treatment | undefined>>

/** @param where the treatments' path in the document */
export function listFaults(params: readonly Param[], treatments: Treatments, where: string): ProblemDetail[] {
  return params.flatMap((p) => {
    const value = listOf(treatments, p.name)
    if (value.length === 0) return []
    const at = `${where}["${p.name}"].value`
    return [...wrongLength(p, value, treatments, at), ...falling(p, value, at)]
  })
}

/**
 * A fit's treatments beside those that a hand set: what a hand-set list counts by stays as it was, and a list of the fit that counts by
 * what a hand set otherwise has nothing to say.
 */
export function inStep<T extends Treatments>(params: readonly Param[], now: T, fitted: T): T {
  const out: Record<string, Treatment | undefined> = { ...fitted }
  const byHand = (name: string) => {
    const t = out[name]
    return t !== undefined && 'value' in t && t.evidence.kind === 'set'
  }
  const counted = params.flatMap(({ name, holds }) => (typeof holds === 'object' ? [{ name, holds }] : []))
  for (const { name, holds } of counted)
    if (byHand(name) && now[holds.of] !== undefined) out[holds.of] = now[holds.of]
  for (const { name, holds } of counted) {
    const { length } = listOf(out, name)
    if (length > 0 && !byHand(name) && length !== lengthBy(holds, out))
      out[name] = { cannotTell: `${holds.of} is set by hand, and this was measured at others` }
  }
  return out as T
}

function wrongLength(
  { name, holds }: Param,
  { length }: readonly number[],
  treatments: Treatments,
  where: string,
): ProblemDetail[] {
  if (holds === undefined) return []
  const wanted = typeof holds === 'number' ? holds : lengthBy(holds, treatments)
  if (length === wanted) return []
  return [
    {
      code: 'shot.list-length',
      what: `${name} holds another number of values than it should`,
      where,
      expected: typeof holds === 'number' ? `${holds}, or none` : expectedBy(holds, treatments),
      received: String(length),
      remedy:
        typeof holds === 'number'
          ? `Give all ${holds}, in the order that \`set --help\` names.`
          : `Set ${holds.of} first, then ${name}; to change how many there are, clear ${name} before.`,
    },
  ]
}

function expectedBy(holds: ParamTimes, treatments: Treatments): string {
  const { length } = listOf(treatments, holds.of)
  const each = `${holds.times} for each number of ${holds.of}`
  return length === 0 ? `${each}, which has none` : `${holds.times * length}: ${each}, which has ${length}`
}

function falling({ name, ascending }: Param, value: readonly number[], where: string): ProblemDetail[] {
  const at = ascending ? value.findIndex((v, i) => i > 0 && !(v > (value[i - 1] as number))) : -1
  if (at < 0) return []
  return [
    {
      code: 'shot.list-order',
      what: `The numbers of ${name} do not ascend`,
      where,
      expected: 'every number above the one before',
      received: `${value[at - 1]}, then ${value[at]}`,
      remedy: 'Sort them, and with them what is listed in their order.',
    },
  ]
}

function lengthBy({ times, of }: ParamTimes, treatments: Treatments): number {
  return times * listOf(treatments, of).length
}

function listOf(treatments: Treatments, name: string): readonly number[] {
  const t = treatments[name]
  return t !== undefined && 'value' in t ? t.value : []
}
