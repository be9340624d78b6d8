/**
 * A float picture of code values to native samples: the inverse of `unpack`.
 *
 *   Y = Kr·R′ + Kg·G′ + Kb·B′, Cb = (B′ − Y)/(2(1 − Kb)), Cr = (R′ − Y)/(2(1 − Kr)), then code = offset + scale·v
 *
 * Chroma of a site is the triangle of `taps.ts` over the full-size chroma around it ([1 2 1]/4 on a luma
 * site, [1 3 3 1]/8 between two, for step 2): with linear interpolation on the way back a constant stays constant and a ramp a ramp.
 * Integers are rounded to nearest, halves up, without dither, and held to the type's range; NaN becomes 0. Float samples are the
 * values themselves. Arithmetic is in single precision.
 *
 * Source: [bt601], [bt709], [bt2020] (non-constant luminance).
 * @throws Problem `kernels.no-matrix`
 */
import { allocateFrame, type FloatImage, type NativeFrame, type PixelLayout } from '../../core/index.js'
import { type Carried, carryBack, emptyRows } from '../planes/carry.js'
import { codeScale, NOMINAL } from '../planes/codes.js'
import { type Coding, evenWeights } from '../planes/coding.js'
import { at } from '../wasm/images.js'
import { duringScratch, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { chromaSink } from './chroma.js'
import { recodeRow } from './recode.js'

/** Rows that are worked on together: few enough to stay near the processor. */
export const STRIP = 16

/** The whole picture as a frame of its size. */
export function pack(image: FloatImage, layout: PixelLayout, coding: Coding): NativeFrame {
  const { width, height } = image.region
  const out = allocateFrame(layout, width, height)
  at(image.data, false, (picture) => {
    duringScratch(() => {
      const rows = packRows(out, coding)
      for (let y = 0; y < height; y += STRIP) {
        rows(y, Math.min(STRIP, height - y), picture + 16 * width * y)
      }
    })
  })
  return out
}

/** Rows `y` to `y + rows − 1` from a picture of them at `picture`; rows come one after the other, from 0 to the last. */
export type PackRows = (y: number, rows: number, picture: number) => void

/** Into `out`, some rows at a time; not beyond the scratch that this is called in. */
export function packRows(out: NativeFrame, coding: Coding): PackRows {
  const colour = (out.layout.family === 'rgb' ? rgbRows : yuvRows)(out, coding)
  const alpha = out.layout.alpha ? alphaRows(out, coding) : undefined
  return (y, rows, picture) =>
    duringScratch(() => {
      colour(y, rows, picture)
      alpha?.(y, rows, picture)
    })
}

function rgbRows(out: NativeFrame, coding: Coding): PackRows {
  const { width } = out
  const recode = recodeRow(NOMINAL, codeScale(out.layout, coding.range, 0))
  const values = [0, 1, 2].map(() => floatLine(width)) as [number, number, number]
  return (y, rows, picture) => {
    const lines = [0, 1, 2].map((p) => emptyRows(out.planes[p], y, rows)) as [Carried, Carried, Carried]
    const [r, g, b] = lines
    if (r.type === 2) simd.threeRows(picture, width * rows, r.start, g.start, b.start)
    else {
      for (let j = 0; j < rows; j++) {
        simd.threeRows(picture + 16 * width * j, width, ...values)
        lines.forEach(({ start, line, type }, c) => {
          recode(values[c], 2, width, start + line * j, type)
        })
      }
    }
    lines.forEach((carried, p) => {
      carryBack(carried, out.planes[p], y, rows)
    })
  }
}

function alphaRows(out: NativeFrame, coding: Coding): PackRows {
  const { width } = out
  const recode = recodeRow(NOMINAL, codeScale(out.layout, coding.range, 3))
  const values = floatLine(width)
  return (y, rows, picture) => {
    const to = emptyRows(out.planes[3], y, rows)
    for (let j = 0; j < rows; j++) {
      simd.channelRow(picture + 16 * width * j + 12, width, values)
      recode(values, 2, width, to.start + to.line * j, to.type)
    }
    carryBack(to, out.planes[3], y, rows)
  }
}

function yuvRows(out: NativeFrame, coding: Coding): PackRows {
  const { width } = out
  const { kr, kg, kb } = evenWeights(coding)
  const k = words(Float32Array.of(kr, kg, kb, 1 / (2 * (1 - kb)), 1 / (2 * (1 - kr))))
  const recode = recodeRow(NOMINAL, codeScale(out.layout, coding.range, 0))
  const chroma = chromaSink(out, coding)
  const values = floatLine(width)
  return (y, rows, picture) => {
    const luma = emptyRows(out.planes[0], y, rows)
    chroma.open(y + rows)
    for (let j = 0; j < rows; j++) {
      const { cb, cr } = chroma.room(y + j)
      simd.lumaChromaRow(picture + 16 * width * j, width, k, values, cb, cr)
      recode(values, 2, width, luma.start + luma.line * j, luma.type)
      chroma.take(y + j)
    }
    carryBack(luma, out.planes[0], y, rows)
    chroma.close()
  }
}

/** A row of floats with room for fours. */
function floatLine(width: number): number {
  return takeBytes(4 * (width + 4))
}
