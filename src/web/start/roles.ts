/** Which of several files that come at once is the plate. */
import type { MediaFacts } from '../../server/protocol.js'

export interface Opened extends MediaFacts {
  readonly path: string
}

/** What is cut out is an element, and so is a still beside something that moves; then the plate is the larger one, or a movie. */
export function plateFirst(opened: readonly Opened[]): Opened[] {
  const last = (o: Opened) =>
    [o.alpha, o.kind === 'still', -o.width * o.height, o.kind !== 'movie'].map(Number)
  return [...opened].sort((a, b) => {
    const of = last(b)
    return (
      last(a)
        .map((v, i) => v - (of[i] as number))
        .find((d) => d !== 0) ?? 0
    )
  })
}
