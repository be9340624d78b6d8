/** Keeps the page under its size: pictures give way, in quality first and in width after that. */
import type { Hands, Picture, StillFormat } from './types.js'

/** The page never grows beyond this. */
export const LIMIT_BYTES = 8_000_000

/** Pictures that stand or fall together (both sides of a wipe are of one width). */
export interface PictureSet {
  readonly keys: readonly string[]
  /** From the best to the least; a set that fits in none is left out. */
  readonly steps: readonly Step[]
  /** The set's pictures, no wider than `width`. */
  make(width: number): readonly Picture[]
}

export interface Step {
  readonly width: number
  readonly format: StillFormat
  readonly quality: number
}

export interface Encoded {
  /** `data:` address. */
  readonly src: string
  readonly width: number
  readonly height: number
}

/** Characters that `bytes` take in base 64. */
function textLength(bytes: number): number {
  return 4 * Math.ceil(bytes / 3) + 32
}

/** Encodes a set at the best step that fits `allowance` characters; also says what it took. */
export async function fitSet(set: PictureSet, allowance: number, hands: Pick<Hands, 'encode'>) {
  let made: { width: number; pictures: readonly Picture[] } | undefined
  let failed: { step: Step; length: number } | undefined
  for (const [i, step] of set.steps.entries()) {
    const last = i === set.steps.length - 1
    if (failed !== undefined && !last && !likely(step, failed, allowance)) continue
    if (made?.width !== step.width) made = { width: step.width, pictures: set.make(step.width) }
    const encoded: Encoded[] = []
    let length = 0
    for (const p of made.pictures) {
      const bytes = await hands.encode(p, step.format, step.quality)
      length += textLength(bytes.length)
      if (length > allowance) break
      const src = `data:image/${step.format};base64,${Buffer.from(bytes).toString('base64')}`
      encoded.push({ src, width: p.width, height: p.height })
    }
    if (length <= allowance) return { encoded, length }
    failed = { step, length: (length * made.pictures.length) / (encoded.length + 1) }
  }
  return { encoded: [], length: 0 }
}

/** Bytes go with the number of pixels; a lower quality or another format may halve them. */
function likely(step: Step, failed: { step: Step; length: number }, allowance: number): boolean {
  const pixels = (step.width / failed.step.width) ** 2
  const coarser = step.format !== failed.step.format || step.quality < failed.step.quality
  return failed.length * pixels * (coarser ? 0.5 : 0.95) <= allowance
}

/** JPEG steps from `width` down to about a sixth of it. */
export function ladder(width: number): Step[] {
  const steps: Step[] = []
  for (const quality of [92, 86, 78]) steps.push({ width, format: 'jpeg', quality })
  for (let w = width * 0.8; w >= width / 6; w *= 0.8) {
    steps.push({ width: Math.round(w), format: 'jpeg', quality: 78 })
  }
  return steps
}

/** Crops keep their pixels: lossless, then JPEG. */
export function cropSteps(width: number): Step[] {
  return [
    { width, format: 'png', quality: 100 },
    { width, format: 'jpeg', quality: 95 },
    { width, format: 'jpeg', quality: 80 },
  ]
}
