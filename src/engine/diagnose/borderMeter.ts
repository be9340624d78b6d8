/** Border contact on every frame that is decoded: of each only its outermost three rows and columns are looked at. */
import { type BorderLevels, borderLevels, contactAt } from '../../chain/place/border/levels.js'
import { CELL, LIMIT, type Sides } from '../../chain/place/border/measure.js'
import type { FloorMeasure } from '../../chain/source/floor/measure.js'
import type { FloatImage, NativeFrame, Region } from '../../core/index.js'
import { applyCurve, unpack } from '../../kernels/index.js'
import type { SourceInfo } from '../../media/index.js'
import { tableOf } from '../tables.js'
import type { Contact } from './border.js'

interface Looked {
  readonly frame: number
  /** By light; of files with alpha, by cover, and by cover or light too. */
  readonly light: BorderLevels
  readonly cover?: BorderLevels
  readonly both?: BorderLevels
}

export class BorderMeter {
  private readonly looked: Looked[] = []
  private readonly encoding: SourceInfo['encoding']
  private readonly alpha: boolean

  constructor({ encoding, layout }: Pick<SourceInfo, 'encoding' | 'layout'>) {
    this.encoding = encoding
    this.alpha = layout.alpha
  }

  add(frame: number, native: NativeFrame): void {
    const { width, height } = native
    if (width < CELL || height < CELL) return
    const strip = (x: number, y: number, w: number, h: number) =>
      this.light(native, { x, y, width: w, height: h })
    const strips: Sides = {
      top: strip(0, 0, width, CELL),
      right: strip(width - CELL, 0, CELL, height),
      bottom: strip(0, height - CELL, width, CELL),
      left: strip(0, 0, CELL, height),
    }
    this.looked.push({
      frame,
      light: borderLevels(strips, 'light'),
      ...(this.alpha ? { cover: borderLevels(strips, 'cover'), both: borderLevels(strips, 'both') } : {}),
    })
  }

  private light(native: NativeFrame, region: Region): FloatImage {
    const image = unpack(native, this.encoding, region)
    applyCurve(image, tableOf(this.encoding.curve, 'decode'))
    return image
  }

  /** Of an element with alpha. @param glows whether light counts where nothing covers: not of straight alpha */
  withAlpha(glows: boolean): Contact[] {
    return this.looked.map((l) => ({
      frame: l.frame,
      ...contactAt((glows ? l.both : l.cover) ?? l.light, 0, LIMIT, 1),
    }))
  }

  /** Of an element on black. @param peak greatest light of the clip beyond its floor */
  onBlack({ floor, noise }: FloorMeasure, peak: number): Contact[] {
    const full = Math.min(Math.max(peak, 1e-3), 1)
    const limit = Math.max(LIMIT * full, (4 * Math.max(...noise)) / CELL)
    return this.looked.map((l) => ({
      frame: l.frame,
      ...contactAt(l.light, Math.max(...floor), limit, full),
    }))
  }
}
