/**
 * Overrides of what a file says of itself (`range`, `alpha`, …) and where they come from. Evidence lies beside them under the same
 * name: measured by `diagnose --fix`, assumed by `new`. Without evidence, or with evidence that speaks for another value than the
 * one that stands there, an override was set by hand.
 */
import type { Evidence, ProblemDetail } from '../core/index.js'
import type { Shot, ShotElement } from './schema.js'

type Spoken = NonNullable<NonNullable<ShotElement['evidence']>['alpha']>

export type OverrideName = keyof NonNullable<ShotElement['evidence']>

/** A file's place in the document: the plate, an element, the grey card. */
export type FileRecord = Pick<Shot['plate'], Exclude<OverrideName, 'alpha'>> & {
  readonly alpha?: ShotElement['alpha']
  readonly evidence?: ShotElement['evidence']
}

/** Where an override comes from; nothing where it is not there or was set by hand. */
export function evidenceOf(record: FileRecord, name: OverrideName): Evidence | undefined {
  const found = record.evidence?.[name]
  if (found === undefined || record[name] === undefined) return undefined
  const { value, ...evidence } = found
  return value === undefined || value === record[name] ? (evidence as Evidence) : undefined
}

/** Evidence as it stands beside an override: with the value that it speaks for. */
export function spokenFor(evidence: Evidence, value: string): Spoken {
  return { ...evidence, value } as Spoken
}

/** Evidence of an override that is not there. */
export function evidenceFaults(record: FileRecord | undefined, where: string): ProblemDetail[] {
  return Object.keys(record?.evidence ?? {}).flatMap((name) =>
    record?.[name as OverrideName] === undefined
      ? [
          {
            code: 'shot.evidence-of-nothing',
            what: `There is evidence of "${name}", and no value that it could speak for`,
            where: `${where}.evidence.${name}`,
            expected: `"${name}" beside it, or no such evidence`,
            remedy: 'Take the evidence out, or put the value back.',
          },
        ]
      : [],
  )
}
