/** Looks that concern an element: the floor of a file on black, and whether its own frame cuts it off. */
import { type BorderContact, borderContact } from '../../chain/place/border/measure.js'
import { measureFloor } from '../../chain/source/floor/measure.js'
import { type FloatImage, median, type Rgb, robustSigma, told } from '../../core/index.js'
import { cannotTell, type Finding, percent, rounded } from './finding.js'
import { listed } from './runs.js'

/** Light of a picture's border up to which it may be black. */
const BLACK = 0.02
/** Share of the border that an element on black may touch; a dark plate shows something along more of it. */
const MOST = 0.3

/** Whether every picture is flat and black along most of its border: an element shot or rendered on black. */
export function isOnBlack(images: readonly FloatImage[]): boolean {
  return (
    images.length > 0 &&
    images.every(isBlackAround) &&
    images.every((image, i) => {
      const c = contactOf(i, image, true)
      return (c.top + c.right + c.bottom + c.left) / 4 < MOST
    }) &&
    images.some((image) => holdsLight(image))
  )
}

/** Black, and flat but for noise: a dark plate has a texture of its own. */
function isBlackAround(image: FloatImage): boolean {
  const { width, height } = image.region
  const cells: number[] = []
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
    cells.push(sum)
  }
  for (let x = 0; x + 3 <= width; x += 3) for (const y of [0, height - 3]) cell(x, y)
  for (let y = 3; y + 6 <= height; y += 3) for (const x of [0, width - 3]) cell(x, y)
  return median(cells) < BLACK && robustSigma(cells) < Math.max(0.6 * robustSigma(singles), 3e-4)
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

export function floorFinding(images: readonly FloatImage[], frames: readonly number[]): Finding {
  const code = 'diagnose.floor'
  const method = 'darkest fifth of blocks of 8 px'
  const found = measureFloor(images, frames)
  if (!told(found)) return cannotTell(code, found.cannotTell, method, frames)
  const { floor, noise } = found.value
  const most = Math.max(...floor)
  const confidence = 'confidence' in found.evidence ? found.evidence.confidence : 0.5
  const numbers = { floor: floor.map(rounded), noise: noise.map(rounded) }
  return {
    code,
    verdict: most > 0.002 ? 'fault' : 'fine',
    sentence:
      most > 0.002
        ? `Its black is lifted to ${percent(most)} of white, with noise of ${percent(Math.max(...noise))}: it would veil the plate.`
        : 'Its black is black.',
    confidence,
    frames,
    method,
    numbers,
    suggestions: [
      { treatment: 'source.floor', value: floor.map(rounded) },
      { treatment: 'source.floorNoise', value: noise.map(rounded) },
    ],
  }
}

export interface Contact extends BorderContact {
  readonly frame: number
}

export function contactOf(frame: number, image: FloatImage, onBlack: boolean): Contact {
  if (!onBlack) return { frame, ...borderContact(image) }
  const found = measureFloor([image], [frame])
  const zero: Rgb = [0, 0, 0]
  const { floor, noise } = told(found) ? found.value : { floor: zero, noise: zero }
  return { frame, ...borderContact(image, { floor, noise, onBlack }) }
}

export function borderFinding(contacts: readonly Contact[]): Finding {
  const touched = contacts.filter((c) => c.touches)
  const most = (side: 'top' | 'right' | 'bottom' | 'left') => Math.max(0, ...touched.map((c) => c[side]))
  const sides = (['top', 'right', 'bottom', 'left'] as const).filter((s) => most(s) > 0)
  const numbers = Object.fromEntries([
    ...sides.map((s) => [s, rounded(most(s))]),
    ['looked', contacts.length],
  ])
  const base = { code: 'diagnose.border', method: 'cover or light of 3×3 cells along the sides', numbers }
  if (touched.length === 0)
    return {
      ...base,
      verdict: 'fine',
      sentence: 'Its frame cuts nothing off.',
      confidence: 0.85,
      frames: contacts.map((c) => c.frame),
    }
  const frames = touched.map((c) => c.frame)
  return {
    ...base,
    verdict: 'fault',
    sentence: `Its own frame cuts it off at ${sides.map((s) => `${s} (${percent(most(s))} of the side)`).join(', ')}, seen on frames ${listed(frames)}.`,
    confidence: Math.max(...touched.map((c) => c.strongest)) > 0.1 ? 0.85 : 0.7,
    frames,
  }
}
