/** Keys of a shape that the picture carried, put into the document: what a hand drew stays. */
import { Problem } from '../core/index.js'
import type { Shot } from './schema.js'
import { shapeOf } from './shapeEdit.js'

type Shape = Shot['shapes'][number]
type Key = Shape['keys'][number]

export const drawnKeys = (s: Shape): Key[] => s.keys.filter((k) => k.carried === undefined)

/**
 * The document as it is now with carried keys in the place of those that were carried before.
 *
 * @param was the shape that they were carried from
 * @param frames on which they are replaced, first and last
 * @throws Problem `shot.unknown-shape`; `shot.shape-changed` where a hand changed what they were carried from
 */
export function mergeCarried(
  now: Shot,
  was: Shape,
  carried: readonly Key[],
  [first, last]: readonly [number, number],
): Shot {
  const shape = shapeOf(now, was.id)
  const rests = (s: Shape) => JSON.stringify([s.kind, s.follow, drawnKeys(s)])
  if (rests(shape) !== rests(was)) {
    throw new Problem({
      code: 'shot.shape-changed',
      what: `The shape "${was.id}" was changed while it was carried; nothing was written`,
      where: `shapes.${was.id}`,
      remedy: 'Carry it again.',
    })
  }
  const kept = shape.keys.filter((k) => k.carried === undefined || k.frame < first || k.frame > last)
  const keys = [...kept, ...carried].sort((a, b) => a.frame - b.frame)
  return { ...now, shapes: now.shapes.map((s) => (s.id === was.id ? { ...s, keys } : s)) }
}
