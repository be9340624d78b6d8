/**
 * Motions and points as JSON: a list of frames, or what is known of the file (`setting.ts`; what is not is left out) and either list:
 *
 *   { "pixelCentres": "half" | "whole", "firstFrame": N, "size": [W, H], "y": "down" | "up", "bridged": [N …], "frames": [list] }
 *   { …, "points": [{ "name": "door", "seen": [[frame, x, y] …] } …] }
 *
 * Each of the list of frames is
 *
 *   [m1 … m9]                          a matrix, row by row; the first of the list is the shot's first frame
 *   [[x, y], [x, y], [x, y], [x, y]]   where four corners lie, px; the same ones in the same order on every frame
 *   { "frame": 12, "matrix": [m1 … m9] }   { "frame": 12, "corners": [[x, y] …] }
 *
 * and all of them of one kind.
 */
import { fitMotion } from '../fit/fit.js'
import { homography } from '../fit/models.js'
import { pairsOf } from '../fit/pairs.js'
import type { Matrix3, Place } from '../matrix.js'
import type { MotionFile, NamedPoint } from './file.js'
import {
  assumedOf,
  bridgedOf,
  type Fail,
  failAt,
  frameOf,
  madeOn,
  matrixToOurs,
  type Setting,
  settingOf,
  toOurs,
  written,
} from './setting.js'

const KINDS = 'a matrix of nine numbers, or four corners [x, y]'

/**
 * What such a text holds, in our pixels and frames.
 *
 * @param file its name, for messages
 * @throws Problem `place.motion-file`: what, where in it, expected and received
 */
export function readMotionJson(text: string, file: string): MotionFile {
  let where = ''
  const fail = failAt(() => `${file}${where}`)
  const document = parsed(text, fail)
  if (isObject(document) && 'platefitTrack' in document)
    fail(
      'this is what came of a track',
      'what `platefit track SHOT ID --export FILE` writes',
      'platefitTrack',
    )
  const { setting, list, points } = Array.isArray(document)
    ? { setting: {}, list: document }
    : headed(document, fail)
  const said = { ...madeOn(setting), assumed: assumedOf(setting) }
  if (points !== undefined) {
    const read = points.map((point, i) => {
      const inPoint = (n?: number) => {
        where = `, points[${i}]${n === undefined ? '' : `.seen[${n}]`}`
      }
      return pointOf(point, setting, inPoint, fail)
    })
    if (read.length === 0) fail('there is nothing in it', 'one point or more', 'none')
    return { kind: 'points', points: read, ...said }
  }
  if (list.length === 0) fail('there is nothing in it', 'one frame or more', 'none')
  const taken = new Set<number>()
  const items = list.map((item, i) => {
    where = `, frames[${i}]`
    const found = itemOf(item, i, setting, fail)
    if (taken.has(found.frame)) fail('this frame is there twice', 'one entry a frame', `${found.frame}`)
    taken.add(found.frame)
    return { ...found, index: i }
  })
  const start = items[0]?.corners
  const matrices = items.map(({ frame, matrix, corners, index }) => {
    where = `, frames[${index}]`
    if ((corners === undefined) !== (start === undefined))
      fail('it mixes matrices and corners', 'one of both', 'both')
    const m = matrix ?? between(start as Corners, corners as Corners, fail)
    return { frame, matrix: matrixToOurs(m, setting, fail) }
  })
  matrices.sort((a, b) => a.frame - b.frame)
  return { kind: 'matrices', matrices, bridged: bridgedOf(setting, matrices), ...said }
}

type Corners = readonly Place[]

interface Item {
  readonly frame: number
  readonly matrix?: readonly number[]
  readonly corners?: Corners
}

function parsed(text: string, fail: Fail): unknown {
  try {
    return JSON.parse(text.replace(/^\ufeff/, ''))
  } catch (e) {
    return fail('this is not JSON', 'JSON', e instanceof Error ? e.message : `${e}`)
  }
}

const isObject = (v: unknown): v is Record<string, unknown> =>
  typeof v === 'object' && v !== null && !Array.isArray(v)

interface Headed {
  readonly setting: Setting
  readonly list: readonly unknown[]
  readonly points?: readonly unknown[]
}

function headed(document: unknown, fail: Fail): Headed {
  if (!isObject(document)) return fail('this is no motion', 'a list of frames', written(document))
  const { frames, points, pixelCentres, firstFrame, size, y, bridged, ...rest } = document
  const [unknown] = Object.keys(rest)
  if (unknown !== undefined)
    fail('this name is unknown', 'pixelCentres, firstFrame, size, y, bridged, frames, points', unknown)
  const setting = settingOf({ pixelCentres, firstFrame, size, y, bridged }, fail)
  if ((frames === undefined) === (points === undefined))
    return fail('it must hold one of both', 'frames or points', frames === undefined ? 'neither' : 'both')
  const list = frames ?? points
  if (!Array.isArray(list)) return fail('its list is wrong', 'a list', written(list))
  return points === undefined ? { setting, list } : { setting, list, points: list }
}

function pointOf(point: unknown, setting: Setting, at: (sighting?: number) => void, fail: Fail): NamedPoint {
  at()
  if (!isObject(point) || !Array.isArray(point.seen) || point.seen.length === 0)
    return fail('this point is wrong', '{ "name", "seen": [[frame, x, y] …] }', written(point))
  const { name = '', seen, ...rest } = point
  const [unknown] = Object.keys(rest)
  if (unknown !== undefined) fail('this name is unknown', 'name, seen', unknown)
  if (typeof name !== 'string') return fail('this name is wrong', 'text', written(name))
  const by = toOurs(setting)
  const taken = new Set<number>()
  const places = (seen as readonly unknown[]).map((s, i) => {
    at(i)
    if (!Array.isArray(s) || s.length !== 3 || !s.every(Number.isFinite))
      return fail('this entry is wrong', 'frame, x and y', written(s))
    const [number, x, y] = s as [number, number, number]
    const frame = frameOf(number, setting, fail)
    if (taken.has(frame)) fail('this frame is there twice', 'one entry a frame', `${number}`)
    taken.add(frame)
    return [frame, x + by, y + by] as const
  })
  return { name, seen: places.sort((a, b) => a[0] - b[0]) }
}

function itemOf(item: unknown, index: number, setting: Setting, fail: Fail): Item {
  if (Array.isArray(item)) return { frame: index, ...valuesOf(item, fail) }
  if (!isObject(item)) return fail('this entry is wrong', KINDS, written(item))
  const { frame, matrix, corners, ...rest } = item
  const [unknown] = Object.keys(rest)
  if (unknown !== undefined) fail('this name is unknown', 'frame, matrix, corners', unknown)
  if ((matrix === undefined) === (corners === undefined))
    fail('it must hold one of both', 'matrix or corners', matrix === undefined ? 'neither' : 'both')
  const values = valuesOf(matrix ?? corners, fail)
  if ((values.matrix === undefined) !== (matrix === undefined))
    fail('this entry is wrong', KINDS, written(item))
  return { frame: frameOf(frame, setting, fail), ...values }
}

function valuesOf(list: unknown, fail: Fail): Omit<Item, 'frame'> {
  if (Array.isArray(list) && list.length === 9 && list.every(Number.isFinite)) return { matrix: list }
  const pair = (p: unknown) => Array.isArray(p) && p.length === 2 && p.every(Number.isFinite)
  if (Array.isArray(list) && list.length === 4 && list.every(pair))
    return { corners: list as unknown as Corners }
  return fail('this entry is wrong', KINDS, written(list))
}

function between(from: Corners, to: Corners, fail: Fail): Matrix3 {
  const fit = fitMotion(homography, pairsOf(from.map((p, i) => [p, to[i] as Place, 1])))
  return (
    fit?.matrix ?? fail('these corners are wrong', 'four places, no three of them on a line', written(to))
  )
}
