/** Faults between the values that say what stands before an element: shapes and holdouts. */
import type { ProblemDetail } from '../core/index.js'
import type { Shot, ShotElement } from './schema.js'
import { unknownName } from './unknown.js'

type Shape = Shot['shapes'][number]

export function placeFaults(shot: Shot): ProblemDetail[] {
  return [
    ...shot.shapes.flatMap((s, i) => shapeFaults(s, i, shot)),
    ...shot.elements.flatMap((e, i) => holdoutFaults(e, `elements[${i}].holdout`, shot)),
  ]
}

function shapeFaults(s: Shape, i: number, { shapes, tracks }: Shot): ProblemDetail[] {
  const where = `shapes[${i}]`
  const first = shapes.findIndex((o) => o.id === s.id)
  const faults: ProblemDetail[] = []
  if (first < i) {
    faults.push({
      code: 'shot.duplicate-id',
      what: `The id "${s.id}" is taken by shapes[${first}]`,
      where: `${where}.id`,
      expected: 'an id of its own',
      received: `"${s.id}"`,
    })
  }
  s.keys.forEach((key, k) => {
    const before = s.keys[k - 1]
    const [count, wanted] = [key.points.length, s.keys[0]?.points.length]
    if (before !== undefined && key.frame <= before.frame) {
      faults.push({
        code: 'shot.key-order',
        what: `The keys of the shape "${s.id}" do not go forward`,
        where: `${where}.keys[${k}].frame`,
        expected: `a frame after ${before.frame}`,
        received: `${key.frame}`,
      })
    }
    if (count === wanted) return
    faults.push({
      code: 'shot.shape-points',
      what: `The keys of the shape "${s.id}" have different numbers of points`,
      where: `${where}.keys[${k}].points`,
      expected: `${wanted} points, as on frame ${s.keys[0]?.frame}`,
      received: `${count}`,
      remedy: 'Give every key the same points in the same order.',
    })
  })
  if (s.follow === undefined) return faults
  const known = tracks.map((t) => t.id)
  return [...faults, ...unknownName('track', s.follow.track, `${where}.follow.track`, known)]
}

function holdoutFaults(e: ShotElement, where: string, shot: Shot): ProblemDetail[] {
  const { holdout } = e
  if (holdout === undefined) return []
  const { file, layer, still, shapes, luminance, depth } = holdout
  const faults = (shapes ?? []).flatMap((id, i) =>
    unknownName(
      'shape',
      id,
      `${where}.shapes[${i}]`,
      shot.shapes.map((s) => s.id),
    ),
  )
  const fault = (code: string, what: string, at: string, rest: Partial<ProblemDetail>) =>
    faults.push({ code, what, where: at, ...rest })
  if (file === undefined && shapes === undefined && luminance === undefined && depth === undefined) {
    fault('shot.empty-holdout', `The holdout of "${e.id}" hides nothing`, where, {
      expected: '"file", "shapes", "luminance" or "depth"',
      received: 'none of them',
      remedy: 'Say what stands before the element, or leave the holdout out.',
    })
  }
  for (const [key, value] of [['layer', layer] as const, ['still', still] as const]) {
    if (file !== undefined || value === undefined) continue
    fault(
      'shot.holdout-needs-file',
      `The "${key}" of a holdout is that of its file, and this one has none`,
      `${where}.${key}`,
      {
        received: `${value}`,
      },
    )
  }
  if (luminance !== undefined && luminance.none === luminance.full) {
    fault('shot.luminance-step', 'Between none and full the holdout needs room', `${where}.luminance`, {
      expected: '"none" and "full" that differ',
      received: `${luminance.none} for both`,
      remedy: 'Put them apart by more than the grain of the plate there.',
    })
  }
  if (depth === undefined) return faults
  if (shot.site.depth === undefined) {
    fault('shot.depth-needs', 'A holdout by depth needs the depth map of the place', 'site.depth', {
      received: 'nothing',
    })
  }
  if (e.distanceM === undefined) {
    fault(
      'shot.depth-needs',
      "A holdout by depth needs the element's distance",
      where.replace(/holdout$/, 'distanceM'),
      {
        received: 'nothing',
      },
    )
  }
  return faults
}
