/**
 * A frame into another layout or coding: the null render. No primaries; curves only where they are given.
 *
 * - Same samples in both: a copy.
 * - Luma and chroma to luma and chroma of the same matrix: luma only rescaled (8 to 10 bit limited is exactly ×4),
 *   chroma rescaled and, where step or siting differ, taken from one chroma grid to the other by `taps.ts`.
 * - All else through R′G′B′ code values (`unpack`, `pack`), as is everything with curves; float holds code values, integers
 *   (2ⁿ − 1)·v.
 *
 * Integers are rounded to nearest, halves up, without dither, and held to the type's range. Alpha is carried (full
 * range) or made opaque. Arithmetic is in single precision; sums over chroma are exact in it.
 *
 * zscale (bilinear, no dither) gives the same within one code, its halves being rounded to
 * even, but for two things about chroma on a new grid: it rounds to the source's depth between and after its passes
 * (one code of the coarser depth), and codes that the target's range cannot hold it clips before it filters. Here
 * chroma is filtered in float, then rounded and clipped once.
 *
 * Source: [bt601], [bt709], [bt2020]; common practice.
 */
import { allocateFrame, type NativeFrame, type PixelLayout, type Plane } from '../../core/index.js'
import type { CurveTables } from '../curve/table.js'
import { recodeRow } from '../pack/recode.js'
import { sampleType } from '../planes/carry.js'
import { type CodeScale, codeScale, sameScale } from '../planes/codes.js'
import type { Coding } from '../planes/coding.js'
import { duringScratch, memory, takeBytes, words } from '../wasm/memory.js'
import { regrid, sameGrid } from './regrid.js'
import { repack } from './repack.js'

/** @param curves what R′G′B′ goes through on its way, one after the other */
export function convertFrame(
  frame: NativeFrame,
  from: Coding,
  layout: PixelLayout,
  to: Coding,
  curves: readonly CurveTables[] = [],
): NativeFrame {
  const out = allocateFrame(layout, frame.width, frame.height)
  const { family } = frame.layout
  const direct = family === layout.family && (family === 'rgb' || from.matrix === to.matrix)
  if (!direct || curves.length > 0) repack(frame, from, out, to, curves)
  else {
    for (let p = 0; p < 3; p++) {
      if (p > 0 && !sameGrid(frame.layout, from, layout, to)) regrid(frame, from, out, to, p)
      else {
        const scale = codeScale(frame.layout, from.range, p)
        rescale(frame.planes[p], scale, out.planes[p], codeScale(layout, to.range, p))
      }
    }
  }
  if (layout.alpha) carryAlpha(frame, from, out, to)
  return out
}

/** Samples worked on together, so that they stay near the processor. */
const PIECE = 32768

function rescale({ data: source }: Plane, from: CodeScale, { data: target }: Plane, to: CodeScale): void {
  if (sameScale(from, to)) {
    target.set(source)
    return
  }
  const [type, outType] = [sampleType(source), sampleType(target)]
  const bytes = new Uint8Array(target.buffer, target.byteOffset, target.byteLength)
  duringScratch(() => {
    const recode = recodeRow(from, to)
    const piece = takeBytes(PIECE << outType)
    for (let i = 0; i < source.length; i += PIECE) {
      const count = Math.min(PIECE, source.length - i)
      duringScratch(() => {
        recode(words(source.subarray(i, i + count)), type, count, piece, outType)
        bytes.set(new Uint8Array(memory.buffer, piece, count << outType), i << outType)
      })
    }
  })
}

function carryAlpha(frame: NativeFrame, from: Coding, out: NativeFrame, to: Coding): void {
  const wanted = codeScale(out.layout, to.range, 3)
  if (frame.layout.alpha)
    rescale(frame.planes[3], codeScale(frame.layout, from.range, 3), out.planes[3], wanted)
  else out.planes[3].data.fill(wanted.scale)
}
