/**
 * Whether pictures show an element on black: black and flat along the frame and a little inside it, light somewhere, and no side
 * lit along all of it (a night has a ground). Limits are choices.
 */

import { borderContact } from '../../chain/place/border/measure.js'
import { type FloatImage, median, robustSigma } from '../../core/index.js'
import { floorOf } from './floor.js'

/** Light of a picture's border up to which it may be black. */
const BLACK = 0.02
/** Difference of light between the sides that one floor may have. */
const EVEN = 0.005
/** Share of the border that an element on black may touch, and of any one side of it. */
const MOST = 0.3
const SIDE = 0.8
/** A second ring lies inside the frame by this share of the smaller side: a drawn frame is no black ground. */
const INSET = 1 / 40
/** A matte or a drawing: so few levels hold nearly all of it. */
const LEVELS = 4
const NEARLY_ALL = 0.995

/** @param images opaque linear light */
export function isOnBlack(images: readonly FloatImage[]): boolean {
  return (
    images.length > 0 &&
    images.every(isBlackAround) &&
    images.every((image, i) => {
      const c = borderContact(image, { ...floorOf([image], [i]), onBlack: true })
      const sides = [c.top, c.right, c.bottom, c.left]
      return sides.reduce((a, b) => a + b) / 4 < MOST && Math.max(...sides) < SIDE
    }) &&
    images.some((image) => holdsLight(image)) &&
    !images.every(isDrawn)
  )
}

function isBlackAround(image: FloatImage): boolean {
  const { width, height } = image.region
  const inset = Math.round(INSET * Math.min(width, height))
  return isBlackRing(image, 0) && (inset < 3 || isBlackRing(image, inset))
}

/** Black, and flat but for noise: a dark plate has a texture of its own. */
function isBlackRing(image: FloatImage, inset: number): boolean {
  const { width, height } = image.region
  const singles: number[] = []
  const cell = (x: number, y: number) => {
    let sum = 0
    for (let v = y; v < y + 3; v++) {
      for (let u = x; u < x + 3; u++) {
        const value = brightest(image, v * width + u)
        sum += value / 9
        if ((u - x) % 3 === 1) singles.push(value)
      }
    }
    return sum
  }
  const [right, bottom] = [width - inset, height - inset]
  const sides: number[][] = [[], [], [], []]
  const at = (side: number, x: number, y: number) => (sides[side] as number[]).push(cell(x, y))
  for (let x = inset; x + 3 <= right; x += 3) {
    at(0, x, inset)
    at(1, x, bottom - 3)
  }
  for (let y = inset + 3; y + 6 <= bottom; y += 3) {
    at(2, inset, y)
    at(3, right - 3, y)
  }
  const cells = sides.flat()
  const middles = sides.filter((s) => s.length > 0).map(median)
  const black = median(cells)
  // One floor lies under all sides; a ground in the dark is lighter than the night over it.
  const even = Math.max(...middles) < Math.max(2 * black, black + EVEN)
  return even && black < BLACK && robustSigma(cells) < Math.max(0.6 * robustSigma(singles), 3e-4)
}

function brightest({ data }: FloatImage, pixel: number): number {
  return Math.max(data[4 * pixel] as number, data[4 * pixel + 1] as number, data[4 * pixel + 2] as number)
}

function holdsLight({ data }: FloatImage): boolean {
  let n = 0
  for (let i = 0; i < data.length; i += 4)
    if (Math.max(data[i] as number, data[i + 1] as number) > 4 * BLACK) n++
  return n > data.length / 4 / 1000
}

/** Whether a few levels of grey hold nearly all of the picture. */
function isDrawn(image: FloatImage): boolean {
  const counts = new Uint32Array(256)
  const pixels = image.data.length / 4
  for (let p = 0; p < pixels; p++) {
    const v = Math.sqrt(Math.min(Math.max(brightest(image, p), 0), 1))
    const at = Math.round(255 * v)
    counts[at] = (counts[at] as number) + 1
  }
  const fullest = [...counts].sort((a, b) => b - a).slice(0, LEVELS)
  return fullest.reduce((a, b) => a + b) > NEARLY_ALL * pixels
}
