/** A name that nothing of the document has. */
import type { ProblemDetail } from '../core/index.js'
import { nearest } from './nearest.js'

export function unknownName(
  kind: 'shape' | 'track',
  id: string,
  where: string,
  known: readonly string[],
): ProblemDetail[] {
  if (known.includes(id)) return []
  const near = nearest(id, known)
  return [
    {
      code: `shot.unknown-${kind}`,
      what: `No ${kind} is called "${id}"`,
      where,
      expected: known.length === 0 ? `a ${kind} of this shot` : known.join(', '),
      received: `"${id}"`,
      ...(near === undefined ? {} : { remedy: `Did you mean "${near}"?` }),
    },
  ]
}
