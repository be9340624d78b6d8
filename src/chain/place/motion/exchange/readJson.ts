/**
 * Motions as JSON: a list of frames, or `{ "pixelCentres": "half" | "whole", "firstFrame": N, "size": [W, H], "y": "down" | "up", "frames": [list] }`,
 * where what is not known is left out (`setting.ts`). Each of the list is
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
import type { MotionFile } from './file.js'
import {
  assumedOf,
  type Fail,
  failAt,
  frameOf,
  madeOn,
  matrixToOurs,
  type Setting,
  sizeOf,
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
  const { setting, list } = Array.isArray(document) ? { setting: {}, list: document } : headed(document, fail)
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
  return {
    kind: 'matrices',
    matrices: matrices.sort((a, b) => a.frame - b.frame),
    ...madeOn(setting),
    assumed: assumedOf(setting),
  }
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

function headed(document: unknown, fail: Fail): { setting: Setting; list: readonly unknown[] } {
  if (!isObject(document)) return fail('this is no motion', 'a list of frames', written(document))
  const { pixelCentres, firstFrame, size, y, frames, ...rest } = document
  const [unknown] = Object.keys(rest)
  if (unknown !== undefined)
    fail('this name is unknown', 'pixelCentres, firstFrame, size, y, frames', unknown)
  if (!Array.isArray(frames)) return fail('frames are missing', 'a list', written(frames))
  if (pixelCentres !== undefined && pixelCentres !== 'half' && pixelCentres !== 'whole')
    return fail('pixelCentres is wrong', '"half" or "whole"', written(pixelCentres))
  if (firstFrame !== undefined && !Number.isInteger(firstFrame))
    return fail('firstFrame is wrong', 'a whole number', written(firstFrame))
  if (y !== undefined && y !== 'down' && y !== 'up') return fail('y is wrong', '"down" or "up"', written(y))
  return {
    setting: {
      ...(pixelCentres ? { pixelCentres } : {}),
      ...(firstFrame === undefined ? {} : { firstFrame: firstFrame as number }),
      ...(size === undefined ? {} : { size: sizeOf(size, fail) }),
      ...(y === undefined ? {} : { y }),
    },
    list: frames,
  }
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
