/** What a layered blur is made from: light and levels of all that can be seen in the blurred picture, and its bands from near to far. */
import { align, type FloatImage, grow, intersect, isEmpty, type Region } from '../../core/index.js'
import { CELL, towardMiddle } from '../aperture/cells.js'
import type { Aperture } from '../aperture/shape.js'
import { cropImage, newImage } from '../wasm/images.js'
import { ABSENT, bandOf, levelOf, levelReach, type StepRow, stepsOf } from './levels.js'

/** Pixels of a block; see `apply.ts`. */
export const BLOCK = 8
/** What lies hidden is looked for so much farther than the blur reaches. */
export const BEYOND = 8
/** More than there are levels. */
export const LEVELS = 1024

export interface Band {
  readonly band: number
  /** Where it has pixels, counted from the scene's corner. */
  readonly box: Region
  readonly reach: number
  /** Names of the shapes that it draws; see {@link shapeKey}. */
  readonly shapes: ReadonlySet<number>
}

export interface Scene {
  /** A multiple of a cell, both ways. */
  readonly region: Region
  readonly light: FloatImage
  readonly levels: Int32Array
  readonly bands: readonly Band[]
  /** The blurred picture, counted from the scene's corner. */
  readonly seen: Region
}

/** How far the blur spreads, in whole pixels: what lies so far away can change a pixel. */
export function layeredReach(most: number, a: Aperture): number {
  return Math.max(levelReach(levelOf(most, most), a), Math.ceil(most) + BEYOND + BLOCK / 2)
}

/** Signed radii all over the plate, px. */
export interface RadiusField {
  /** At the middle of a pixel of the plate; NaN where nothing is there. */
  readonly at: (x: number, y: number) => number
  /** The greatest magnitude of any, 256 at most. */
  readonly most: number
}

export function sceneOf(src: FloatImage, { at, most }: RadiusField, a: Aperture, wanted: Region): Scene {
  const reach = layeredReach(most, a)
  const out = intersect(grow(src.region, reach), wanted)
  const region = align(grow(out, reach), CELL, CELL)
  const light = newImage(region)
  const { data, region: held } = cropImage(src, region)
  for (let row = 0; row < held.height; row++) {
    const to = 4 * ((held.y + row - region.y) * region.width + held.x - region.x)
    light.data.set(data.subarray(4 * row * held.width, 4 * (row + 1) * held.width), to)
  }
  const levels = new Int32Array(region.width * region.height)
  for (let row = 0, i = 0; row < region.height; row++)
    for (let column = 0; column < region.width; column++, i++)
      levels[i] = levelOf(at(region.x + column, region.y + row), most)
  const seen = { ...out, x: out.x - region.x, y: out.y - region.y }
  return { region, light, levels, bands: bandsOf(levels, region.width, a, seen), seen }
}

interface Found {
  left: number
  top: number
  right: number
  bottom: number
  readonly shapes: Set<number>
}

function bandsOf(levels: Int32Array, width: number, a: Aperture, seen: Region): Band[] {
  const found = new Map<number, Found>()
  for (let y = 0, i = 0; i < levels.length; y++) {
    let at: Found | undefined
    let last = Number.NaN
    for (let x = 0; x < width; x++, i++) {
      const level = levels[i]
      if (level === ABSENT) continue
      const key = shapeKey(x, y, level, width, a)
      if (key !== last) {
        last = key
        at = foundOf(found, bandOf(level), x, y)
        at.shapes.add(key)
        at.left = Math.min(at.left, x)
        at.bottom = y
      }
      if (at !== undefined && x > at.right) at.right = x
    }
  }
  return [...found]
    .sort(([p], [q]) => p - q)
    .map(([band, { left, top, right, bottom, shapes }]) => {
      const reach = Math.max(...[...shapes].map((key) => levelReach(levelIn(key), a)))
      const all = { x: left, y: top, width: right - left + 1, height: bottom - top + 1 }
      return { band, box: intersect(all, grow(seen, reach)), reach, shapes }
    })
    .filter(({ box }) => !isEmpty(box))
}

function foundOf(found: Map<number, Found>, band: number, x: number, y: number): Found {
  const known = found.get(band)
  if (known !== undefined) return known
  const made = { left: x, top: y, right: x, bottom: y, shapes: new Set<number>() }
  found.set(band, made)
  return made
}

/** Names the shape that a pixel of the scene draws: by its level, and by its cell where the barrel cuts. */
export function shapeKey(x: number, y: number, level: number, width: number, { corner }: Aperture): number {
  const cell = corner === 0 ? 0 : Math.floor(y / CELL) * (width / CELL) + Math.floor(x / CELL)
  return LEVELS * cell + level + LEVELS / 2
}

export function levelIn(key: number): number {
  return (key % LEVELS) - LEVELS / 2
}

/** The shape of that name. */
export function shapeOf(key: number, { region }: Scene, a: Aperture, frame: Region): StepRow[] {
  const cell = Math.floor(key / LEVELS)
  const across = region.width / CELL
  const x = region.x + CELL * (cell % across)
  const y = region.y + CELL * Math.floor(cell / across)
  return stepsOf(levelIn(key), a, a.corner === 0 ? [0, 0] : towardMiddle(x, y, frame))
}
