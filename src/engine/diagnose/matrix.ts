/**
 * Luma-chroma matrix against its tag, by the walls of the colour cube.
 *
 * Saturated colours were clipped to 0 … 1 as R′G′B′ before they became Y′CbCr: under the right matrix they lie on the cube's
 * faces, under a wrong one beyond or inside them. Only such colours are evidence; a picture without any cannot be told.
 * Samples: one a chroma sample, its luma averaged. Near-black and near-white (where noise and super-whites live) are left out.
 *
 * Source: [bt601], [bt709], [bt2020] for the matrices; the walls are common practice.
 */
import { lumaWeights } from '../../colour/index.js'
import type { ColourEncoding, Evidence, MatrixName, NativeFrame, RangeName } from '../../core/index.js'
import { cannotTell, type Finding, rounded } from './finding.js'
import type { Still } from './still.js'
import { believed, tagged } from './tagged.js'

const CODE = 'diagnose.matrix'
const METHOD = 'saturated colours on and beyond the faces of the RGB cube, under each matrix'
const NAMES = ['bt709', 'bt601', 'bt2020'] as const
type Name = (typeof NAMES)[number]
/** Beyond a face by so much is out; within so little is on it. */
const OUT = 0.025
const ON = 0.01
const LEAST = 4e-4

interface Walls {
  readonly out: number
  readonly on: number
}

/**
 * @param by where the encoding's matrix comes from
 * @param coarse compression has moved its colours: what lies beyond the faces proves nothing
 */
export function matrixFinding(
  stills: readonly Still[],
  encoding: ColourEncoding,
  by: Evidence,
  coarse = false,
): Finding {
  const frames = stills.map((s) => s.frame)
  const first = stills[0]
  if (first === undefined || first.native.layout.family === 'rgb' || encoding.matrix === 'rgb')
    return cannotTell(CODE, 'RGB samples were made with no matrix.', METHOD, frames)
  const walls = wallsOf(stills, encoding.range)
  const name = encoding.matrix as Exclude<MatrixName, 'rgb'>
  const own = walls[name]
  const others = NAMES.filter((n) => n !== name).sort((a, b) => walls[a].out - walls[b].out)
  const best = others[0] as Name
  const numbers = Object.fromEntries(
    NAMES.flatMap((n) => [
      [`${n}Out`, rounded(walls[n].out)],
      [`${n}On`, rounded(walls[n].on)],
    ]),
  )
  const base = { code: CODE, frames, method: METHOD, numbers }
  const other = walls[best]
  if (coarse)
    return cannotTell(
      CODE,
      'Compression has moved its strongest colours too far to prove a matrix.',
      METHOD,
      frames,
      numbers,
    )
  if (own.out > LEAST && other.out < 0.15 * own.out && other.on > LEAST && other.on > 2 * own.on) {
    return {
      ...base,
      verdict: 'fault',
      sentence: `${tagged(name, by)}, but its strongest colours keep within 0 to 1 only under ${best}.`,
      confidence: other.on > 0.004 ? 0.85 : 0.7,
      suggestions: [{ field: 'matrix', value: best }],
      remedy: `Give it "matrix": "${best}" in the shot document, or export it again with that tag.`,
    }
  }
  if (own.on > LEAST && own.out < 0.15 * other.out && other.out > LEAST)
    return {
      ...base,
      verdict: 'fine',
      sentence: `Its strongest colours keep within 0 to 1 under ${name} and no other matrix.`,
      confidence: 0.85,
    }
  return cannotTell(
    CODE,
    `No colour is saturated enough to prove the matrix; ${believed(name, by)}.`,
    METHOD,
    frames,
    numbers,
  )
}

function wallsOf(stills: readonly Still[], range: RangeName): Record<Name, Walls> {
  const sums = Object.fromEntries(NAMES.map((n) => [n, { out: 0, on: 0 }])) as Record<
    Name,
    { out: number; on: number }
  >
  let total = 0
  for (const { native } of stills) {
    eachColour(native, range, (y, cb, cr) => {
      total++
      if (y < 0.03 || y > 0.97 || Math.max(Math.abs(cb), Math.abs(cr)) < 0.08) return
      for (const n of NAMES) {
        const { kr, kb } = lumaWeights[n]
        const r = y + 2 * (1 - kr) * cr
        const b = y + 2 * (1 - kb) * cb
        const g = (y - kr * r - kb * b) / (1 - kr - kb)
        const beyond = Math.max(-r, -g, -b, r - 1, g - 1, b - 1)
        if (beyond > OUT) sums[n].out++
        else if (beyond > -ON) sums[n].on++
      }
    })
  }
  const share = (n: Name) => ({ out: sums[n].out / total, on: sums[n].on / total })
  return { bt709: share('bt709'), bt601: share('bt601'), bt2020: share('bt2020') }
}

function eachColour(
  f: NativeFrame,
  range: RangeName,
  tell: (y: number, cb: number, cr: number) => void,
): void {
  const [luma, cb, cr] = f.planes
  if (luma === undefined || cb === undefined || cr === undefined) return
  const { bits, subX, subY } = f.layout
  const unit = 2 ** (bits - 8)
  const top = 2 ** bits - 1
  const [black, span, chroma] = range === 'full' ? [0, top, top] : [16 * unit, 219 * unit, 224 * unit]
  const [stepX, stepY] = [1 << subX, 1 << subY]
  // Without subsampling every other pixel is plenty.
  const skip = stepX * stepY === 1 ? 2 : 1
  for (let j = 0; j < cb.height; j += skip) {
    for (let i = 0; i < cb.width; i += skip) {
      const at = j * cb.width + i
      let sum = 0
      let n = 0
      for (let v = j * stepY; v < Math.min((j + 1) * stepY, luma.height); v++) {
        for (let u = i * stepX; u < Math.min((i + 1) * stepX, luma.width); u++) {
          sum += luma.data[v * luma.width + u] as number
          n++
        }
      }
      tell(
        (sum / n - black) / span,
        ((cb.data[at] as number) - 128 * unit) / chroma,
        ((cr.data[at] as number) - 128 * unit) / chroma,
      )
    }
  }
}
