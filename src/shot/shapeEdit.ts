/** Edits of shapes, and of what stands before an element: pure functions from document to document. */
import { z } from 'zod'
import { Problem } from '../core/index.js'
import { withElement } from './edit.js'
import { nearest } from './nearest.js'
import type { Shot } from './schema.js'
import { holdoutSchema, shapeSchema } from './shapeSchema.js'

type Shape = Shot['shapes'][number]

const shape = { shape: z.string() }
const parts = shapeSchema.shape
const key = parts.keys.element.shape

/** Points stand as they do in the document: of a shape that follows a track, on that track's reference frame. */
export const shapeEdits = [
  z.strictObject({ kind: z.literal('addShape'), shape: shapeSchema }),
  /** The outline on a frame, drawn by hand; it takes the place of what stands there. */
  z.strictObject({ kind: z.literal('shapeKey'), ...shape, frame: key.frame, points: key.points }),
  z.strictObject({ kind: z.literal('removeShapeKey'), ...shape, frame: key.frame }),
  /** Null leaves it unsaid. */
  z.strictObject({
    kind: z.literal('shape'),
    ...shape,
    outline: z.enum(['polygon', 'spline']).optional(),
    featherPx: parts.featherPx.unwrap().optional(),
    distanceM: parts.distanceM.unwrap().nullable().optional(),
    follow: parts.follow.unwrap().nullable().optional(),
  }),
  z.strictObject({ kind: z.literal('removeShape'), ...shape }),
  /** All of what stands before an element; null lets nothing but nearer shapes hide it. */
  z.strictObject({ kind: z.literal('holdout'), element: z.string(), holdout: holdoutSchema.nullable() }),
] as const

export type ShapeEdit = z.output<(typeof shapeEdits)[number]>

/** @throws Problem `shot.unknown-shape`, `shot.unknown-element`, `shot.no-such-key`, `shot.last-key` */
export function applyShapeEdit(shot: Shot, edit: ShapeEdit): Shot {
  switch (edit.kind) {
    case 'addShape':
      return { ...shot, shapes: [...shot.shapes, edit.shape] }
    case 'shapeKey':
      return withShape(shot, edit.shape, (s) => {
        const { frame, points } = edit
        const others = s.keys.filter((k) => k.frame !== frame)
        return { ...s, keys: [...others, { frame, points }].sort((a, b) => a.frame - b.frame) }
      })
    case 'removeShapeKey':
      return withShape(shot, edit.shape, (s) => withoutKey(s, edit.frame))
    case 'shape':
      return withShape(shot, edit.shape, (s) => changed(s, edit))
    case 'removeShape':
      return without(shot, edit.shape)
    case 'holdout':
      return withElement(shot, edit.element, ({ holdout: _, ...e }) =>
        edit.holdout === null ? e : { ...e, holdout: edit.holdout },
      )
  }
}

function changed(s: Shape, edit: Extract<ShapeEdit, { kind: 'shape' }>): Shape {
  const { distanceM: oldDistance, follow: oldFollow, ...rest } = s
  const distanceM = edit.distanceM === undefined ? oldDistance : (edit.distanceM ?? undefined)
  const follow = edit.follow === undefined ? oldFollow : (edit.follow ?? undefined)
  return {
    ...rest,
    kind: edit.outline ?? s.kind,
    featherPx: edit.featherPx ?? s.featherPx,
    ...(distanceM === undefined ? {} : { distanceM }),
    ...(follow === undefined ? {} : { follow }),
  }
}

function withoutKey(s: Shape, frame: number): Shape {
  const keys = s.keys.filter((k) => k.frame !== frame)
  const fault = (code: string, what: string, remedy?: string) =>
    new Problem({
      code,
      what,
      where: s.id,
      expected: `one of frames ${s.keys.map((k) => k.frame).join(', ')}`,
      received: `${frame}`,
      ...(remedy === undefined ? {} : { remedy }),
    })
  if (keys.length === s.keys.length)
    throw fault('shot.no-such-key', `The shape "${s.id}" has no key on this frame`)
  if (keys.length === 0)
    throw fault('shot.last-key', `This is the only key of the shape "${s.id}"`, 'Remove the shape itself.')
  return { ...s, keys }
}

/** Holdouts that named it name it no more; one that held nothing else goes. */
function without(shot: Shot, gone: string): Shot {
  shapeOf(shot, gone)
  return {
    ...shot,
    shapes: shot.shapes.filter((s) => s.id !== gone),
    elements: shot.elements.map((e) => {
      if (e.holdout?.shapes?.includes(gone) !== true) return e
      const { holdout, ...rest } = e
      const { shapes, ...others } = holdout
      const left = shapes?.filter((id) => id !== gone) ?? []
      const kept = left.length > 0 ? { ...others, shapes: left } : others
      return Object.keys(kept).length === 0 ? rest : { ...rest, holdout: kept }
    }),
  }
}

/** A shape by its id. @throws Problem `shot.unknown-shape` */
export function shapeOf(shot: Shot, id: string): Shape {
  const found = shot.shapes.find((s) => s.id === id)
  if (found !== undefined) return found
  const known = shot.shapes.map((s) => s.id)
  const near = nearest(id, known)
  throw new Problem({
    code: 'shot.unknown-shape',
    what: `No shape is called "${id}"`,
    where: id,
    expected: known.length === 0 ? 'a shape of this shot' : known.join(', '),
    ...(near === undefined ? {} : { remedy: `Did you mean "${near}"?` }),
  })
}

function withShape(shot: Shot, id: string, change: (s: Shape) => Shape): Shot {
  shapeOf(shot, id)
  return { ...shot, shapes: shot.shapes.map((s) => (s.id === id ? change(s) : s)) }
}
