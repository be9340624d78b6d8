/**
 * How far pictures are from the truth: CIEDE2000 over the affected pixels, seen as on a display whose white is diffuse
 * white. Affected is a pixel where the truth or any of the pictures differs from the plate. One pixel of each 2×2 is
 * looked at, another one in each frame.
 */
import { curveOf, deltaE2000Image } from '../../src/colour/index.js'
import type { NativeFrame } from '../../src/core/index.js'
import { openSource, type Source } from '../../src/media/index.js'

/** Least difference of code values (0 to 1) that counts: half a step of 8 bits. */
const AFFECTED = 0.5 / 255
/** Width of the histogram's bins, in ΔE; and their number. */
const BIN = 0.01
const BINS = 10_000

export interface Score {
  readonly deltaE: number
  readonly p95: number
}

/** Sequences of 16-bit RGB pictures in BT.709 code values, alike in size and length. */
export interface Pictures {
  readonly plate: string
  readonly truth: string
  readonly plain: string
  readonly result: string
  readonly best: string
}

const SCORED = ['plain', 'result', 'best'] as const

export async function score(paths: Pictures): Promise<Record<(typeof SCORED)[number], Score>> {
  const open = (path: string) => openSource(path, { encoding: { curve: 'bt709' } })
  const names = ['plate', 'truth', ...SCORED] as const
  const sources = await Promise.all(names.map((n) => open(paths[n])))
  const tallies = SCORED.map(() => new Tally())
  try {
    const streams = sources.map((s: Source) => s.frames())
    for (let f = 0; f < sources[0]!.info.frameCount; f++) {
      const frames = await Promise.all(streams.map((s) => s.next()))
      const [plate, truth, ...scored] = frames.map((f, i) =>
        linear(f.done ? undefined : f.value, paths[names[i]!]),
      )
      scoreFrame(f, plate!, truth!, scored, tallies)
    }
  } finally {
    await Promise.all(sources.map((s) => s.close()))
  }
  const [plain, result, best] = tallies.map((t) => t.score())
  return { plain: plain!, result: result!, best: best! }
}

interface Linear {
  readonly code: Float32Array
  readonly light: Float32Array
  readonly width: number
  readonly height: number
}

function scoreFrame(f: number, plate: Linear, truth: Linear, scored: Linear[], tallies: Tally[]): void {
  const mask = new Uint8Array(plate.width * plate.height)
  const others = [truth, ...scored]
  for (let y = (f >> 1) & 1; y < plate.height; y += 2) {
    for (let x = f & 1; x < plate.width; x += 2) {
      const i = y * plate.width + x
      if (others.some((o) => differs(plate.code, o.code, 4 * i))) mask[i] = 1
    }
  }
  scored.forEach((picture, k) => {
    tallies[k]!.add(deltaE2000Image(picture.light, truth.light, 'bt709', mask))
  })
}

function differs(a: Float32Array, b: Float32Array, at: number): boolean {
  for (let c = at; c < at + 3; c++) if (Math.abs(a[c]! - b[c]!) > AFFECTED) return true
  return false
}

function linear(frame: NativeFrame | undefined, path: string): Linear {
  if (!frame) throw new Error(`${path} is too short`)
  if (frame.layout.family !== 'rgb' || frame.layout.bits !== 16) throw new Error(`${path} is not 16-bit RGB`)
  const n = frame.width * frame.height
  const code = new Float32Array(4 * n)
  const light = new Float32Array(4 * n)
  for (let c = 0; c < 3; c++) {
    const { data } = frame.planes[c]!
    for (let i = 0; i < n; i++) {
      code[4 * i + c] = data[i]! / 65535
      light[4 * i + c] = table[data[i]!]!
    }
  }
  return { code, light, width: frame.width, height: frame.height }
}

const { decode } = curveOf('bt709')
const table = Float32Array.from({ length: 65536 }, (_, i) => decode(i / 65535))

/** Mean and percentiles of many numbers without keeping them. */
class Tally {
  private readonly bins = new Float64Array(BINS)
  private count = 0
  private sum = 0

  add(values: Float64Array): void {
    for (const v of values) {
      this.sum += v
      this.bins[Math.min(BINS - 1, Math.floor(v / BIN))]!++
    }
    this.count += values.length
  }

  score(): Score {
    let below = 0
    let at = 0
    while (at < BINS && below < 0.95 * this.count) below += this.bins[at++]!
    return { deltaE: this.count === 0 ? 0 : this.sum / this.count, p95: at * BIN }
  }
}
