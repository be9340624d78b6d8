/** Whether what was fitted is still of the shot as it stands. */
import { isDeepStrictEqual } from 'node:util'
import type { Shot } from '../shot/index.js'
import { pictureRevisionOf } from './revision.js'

/** A fit: the revision of all that it depends on, and the numbers that it left. */
export interface Fitted {
  readonly inputs: string
  readonly left: Readonly<Record<string, unknown>>
}

/** @param before what it began with, and in which state its files were (`Files.revision`); @param after what it left */
export function fittedBy(before: Shot, files: string, after: Shot): Fitted {
  return { inputs: inputsOf(before, files), left: numbers(after) }
}

/** Something that the fit depends on has changed, and nobody (the command line) has fitted since. */
export function isStale({ inputs, left }: Fitted, shot: Shot, files: string): boolean {
  const now = numbers(shot)
  const untouched = Object.entries(left).every(
    ([name, number]) => now[name] === undefined || isDeepStrictEqual(now[name], number),
  )
  return untouched && inputs !== inputsOf(shot, files)
}

/** Not what a fit writes itself, nor how much of that is done. */
function inputsOf(shot: Shot, files: string): string {
  const plate = { ...shot.plate, treatments: {} }
  const elements = shot.elements.map(({ links, ...e }) => ({ ...e, treatments: {} }))
  return pictureRevisionOf({ ...shot, plate, elements }, files)
}

/** Treatments that are not by hand, by their owner and name; as JSON, which notes come back as. */
function numbers(shot: Shot): Record<string, unknown> {
  const owners = [['plate', shot.plate] as const, ...shot.elements.map((e) => [e.id, e] as const)]
  const fitted = owners.flatMap(([id, { treatments }]) =>
    Object.entries(treatments)
      .filter(([, t]) => t !== undefined && !('evidence' in t && t.evidence.kind === 'set'))
      .map(([name, t]) => [`${id} ${name}`, t] as const),
  )
  return JSON.parse(JSON.stringify(Object.fromEntries(fitted)))
}
