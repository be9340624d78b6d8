/** What an element stands on in its file: an alpha channel of some kind, or black. */
import type { NativeFrame, RangeName } from '../core/index.js'
import type { AlphaHint, SourceInfo } from '../media/index.js'

/** A corner is black when its mean signal (0 black, 1 white) stays below this: video noise on black stays under it. */
const BLACK = 0.06

/** Kind of a file's alpha: what the file or its format says, else straight. */
export function alphaSaid({ alphaHint }: Pick<SourceInfo, 'alphaHint'>): AlphaHint {
  return (
    alphaHint ?? { kind: 'straight', known: false, why: 'nothing says whether straight or premultiplied' }
  )
}

/** Whether all four corners (a sixteenth of width and height each) are black. */
export function cornersBlack(frame: NativeFrame, range: RangeName): boolean {
  return cornerSignal(frame, range) < BLACK
}

/** Brightest mean of the four corners (a sixteenth of width and height each) over luma, or over R, G and B. */
function cornerSignal(frame: NativeFrame, range: RangeName): number {
  const planes = frame.layout.family === 'yuv' ? frame.planes.slice(0, 1) : frame.planes.slice(0, 3)
  const { float, bits } = frame.layout
  const limited = range === 'limited' && !float
  const black = limited ? 16 * 2 ** (bits - 8) : 0
  const white = float ? 1 : limited ? 235 * 2 ** (bits - 8) : 2 ** bits - 1
  const w = Math.max(1, frame.width >> 4)
  const h = Math.max(1, frame.height >> 4)
  let brightest = 0
  for (const plane of planes) {
    for (const x0 of [0, plane.width - w]) {
      for (const y0 of [0, plane.height - h]) {
        let sum = 0
        for (let y = y0; y < y0 + h; y++) {
          for (let x = x0; x < x0 + w; x++) sum += plane.data[y * plane.width + x] ?? 0
        }
        brightest = Math.max(brightest, (sum / (w * h) - black) / (white - black))
      }
    }
  }
  return brightest
}
