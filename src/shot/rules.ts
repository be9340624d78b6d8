import { elementParams, plateParams } from '../chain/params.js'
import type { ProblemDetail } from '../core/index.js'
import { flashFaults } from './flashRules.js'
import { lensFaults } from './lensRules.js'
import { listFaults } from './lists.js'
import { moveFaults } from './moveRules.js'
import { nearest } from './nearest.js'
import { evidenceFaults } from './overrides.js'
import { placeFaults } from './placeRules.js'
import { responseFaults } from './responseRules.js'
import type { Shot, ShotElement } from './schema.js'

/** Largest departure of the nature shares' sum from 1: what rounding to three digits can do. */
const SHARE_TOLERANCE = 2e-3

/** Faults that lie between values: the schema cannot see them one by one. */
export function ruleFaults(shot: Shot): ProblemDetail[] {
  const ids = shot.elements.map((e) => e.id)
  return [
    ...shot.elements.flatMap((e, i) => [
      ...identity(e, i, ids),
      ...containment(e, i, shot.elements),
      ...size(e, i, shot),
      ...shares(e, i),
      ...keyOrder(e, i),
    ]),
    ...evidenceFaults(shot.plate, 'plate'),
    ...shot.elements.flatMap((e, i) => evidenceFaults(e, `elements[${i}]`)),
    ...evidenceFaults(shot.site.greyCard, 'site.greyCard'),
    ...moveFaults(shot),
    ...lensFaults(shot),
    ...shoreBehind(shot),
    ...lightOfPlace(shot),
    ...cardInPlate(shot),
    ...responseFaults(shot),
    ...listFaults(plateParams, shot.plate.treatments, 'plate.treatments'),
    ...shot.elements.flatMap((e, i) => listFaults(elementParams, e.treatments, `elements[${i}].treatments`)),
    ...placeFaults(shot),
    ...flashFaults(shot),
    ...shot.meant.flatMap((m, i) =>
      m.element === undefined ? [] : unknownId(m.element, `meant[${i}].element`, ids),
    ),
  ]
}

function identity(e: ShotElement, i: number, ids: readonly string[]): ProblemDetail[] {
  const where = `elements[${i}].id`
  if (e.id === 'plate') {
    return [
      {
        code: 'shot.reserved-id',
        what: 'The id "plate" stands for the plate itself',
        where,
        received: '"plate"',
      },
    ]
  }
  const first = ids.indexOf(e.id)
  if (first === i) return []
  return [
    {
      code: 'shot.duplicate-id',
      what: `The id "${e.id}" is taken by elements[${first}]`,
      where,
      expected: 'an id of its own',
      received: `"${e.id}"`,
    },
  ]
}

function containment(e: ShotElement, i: number, elements: readonly ShotElement[]): ProblemDetail[] {
  if (e.inside === undefined) return []
  const where = `elements[${i}].inside`
  const unknown = unknownId(
    e.inside,
    where,
    elements.map((o) => o.id),
  )
  if (unknown.length > 0) return unknown
  const chain = [e.id]
  let next: string | undefined = e.inside
  while (next !== undefined && !chain.includes(next)) {
    chain.push(next)
    next = elements.find((o) => o.id === next)?.inside
  }
  if (next !== e.id) return []
  return [
    {
      code: 'shot.inside-itself',
      what: `The element "${e.id}" would stand inside itself`,
      where,
      received: [...chain, next].join(' inside '),
      remedy: 'Break the circle: of two elements only one can stand inside the other.',
    },
  ]
}

function size(e: ShotElement, i: number, shot: Shot): ProblemDetail[] {
  const where = `elements[${i}]`
  if (e.scale !== undefined && e.heightM !== undefined) {
    return [
      {
        code: 'shot.two-sizes',
        what: `The element "${e.id}" has both a scale and a real height`,
        where: `${where}.scale`,
        expected: 'either "scale" or "heightM"',
        received: `scale ${e.scale} and heightM ${e.heightM}`,
      },
    ]
  }
  if (e.scale === undefined && e.heightM === undefined) {
    return [
      {
        code: 'shot.no-size',
        what: `The element "${e.id}" has no size`,
        where: `${where}.scale`,
        expected: '"scale", or "heightM" with "distanceM"',
        received: 'neither',
      },
    ]
  }
  if (e.heightM === undefined) return []
  const faults: ProblemDetail[] = []
  const need = (at: string, why: string) =>
    faults.push({
      code: 'shot.size-needs',
      what: `A real height needs ${why}`,
      where: at,
      received: 'nothing',
    })
  if (e.distanceM === undefined) need(`${where}.distanceM`, "the element's distance")
  if (shot.camera.focalLengthMm === undefined) need('camera.focalLengthMm', "the lens's focal length")
  if (shot.camera.sensorWidthMm === undefined)
    need('camera.sensorWidthMm', "the sensor's width along the picture's")
  return faults
}

function shoreBehind(shot: Shot): ProblemDetail[] {
  return (shot.site.marks ?? []).flatMap((m, i) =>
    m.behindM === undefined || m.behindM > m.distanceM
      ? []
      : [
          {
            code: 'shot.mark-behind-shore',
            what: 'The shore behind this mark is nearer than the mark',
            where: `site.marks[${i}].behindM`,
            expected: `more than ${m.distanceM} m`,
            received: `${m.behindM} m`,
            remedy: 'Leave it out where the mark stands before open air.',
          },
        ],
  )
}

/** What overrides a file says nothing of a card that stands in the plate. */
function cardInPlate(shot: Shot): ProblemDetail[] {
  const card = shot.site.greyCard
  if (card === undefined || card.file !== undefined) return []
  return (['curve', 'primaries', 'matrix', 'range', 'rate', 'layer', 'still'] as const)
    .filter((key) => card[key] !== undefined)
    .map((key) => ({
      code: 'shot.card-needs-file',
      what: `The "${key}" of a grey card is that of its file, and this one has none`,
      where: `site.greyCard.${key}`,
      received: `${card[key]}`,
      remedy: "Name the card's file, or leave this out: a card in the plate is read as the plate is.",
    }))
}

/** A reflectance without the light that falls on it would be silently left aside. */
function lightOfPlace(shot: Shot): ProblemDetail[] {
  const ambient = shot.plate.treatments['light.ambient']
  const byHand = ambient !== undefined && 'value' in ambient && ambient.evidence.kind === 'set'
  if (shot.site.greyCard !== undefined || byHand) return []
  return shot.elements.flatMap((e, i) =>
    e.reflectance === undefined
      ? []
      : [
          {
            code: 'shot.reflectance-needs',
            what: `The reflectance of "${e.id}" says nothing without the light of the place`,
            where: `elements[${i}].reflectance`,
            received: 'neither "site.greyCard" nor "light.ambient" of the plate, set by hand',
            remedy:
              'Name a grey card, or set light.ambient of the plate; or leave the reflectance out and name a place to compare with.',
          },
        ],
  )
}

function shares(e: ShotElement, i: number): ProblemDetail[] {
  if (typeof e.nature === 'string') return []
  const sum = (e.nature.emits ?? 0) + (e.nature.absorbs ?? 0) + (e.nature.reflects ?? 0)
  if (Math.abs(sum - 1) <= SHARE_TOLERANCE) return []
  return [
    {
      code: 'shot.nature-shares',
      what: `The shares of "${e.id}" do not add up`,
      where: `elements[${i}].nature`,
      expected: 'shares that add up to 1',
      received: `${Number(sum.toPrecision(4))}`,
    },
  ]
}

function keyOrder(e: ShotElement, i: number): ProblemDetail[] {
  const keys = e.keys ?? []
  const at = keys.findIndex((k, j) => j > 0 && k.frame <= (keys[j - 1]?.frame ?? Number.NEGATIVE_INFINITY))
  if (at < 0) return []
  return [
    {
      code: 'shot.key-order',
      what: `The keys of "${e.id}" do not go forward`,
      where: `elements[${i}].keys[${at}].frame`,
      expected: `a frame after ${keys[at - 1]?.frame}`,
      received: `${keys[at]?.frame}`,
    },
  ]
}

function unknownId(id: string, where: string, ids: readonly string[]): ProblemDetail[] {
  if (ids.includes(id)) return []
  const near = nearest(id, ids)
  return [
    {
      code: 'shot.unknown-element',
      what: `No element is called "${id}"`,
      where,
      expected: ids.length === 0 ? 'an element of this shot' : ids.join(', '),
      received: `"${id}"`,
      ...(near === undefined ? {} : { remedy: `Did you mean "${near}"?` }),
    },
  ]
}
