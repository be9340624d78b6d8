import type { ColourEncoding, FloatImage, Rgb } from '../core/index.js'

export interface ViewOptions {
  /** Push in stops of light before the view; 0 when absent. */
  readonly stops?: number
  /** Gain on displayed code values, black stays black; 1 when absent. */
  readonly blackBoost?: number
}

export function viewing(_encoding: ColourEncoding): (rgb: Rgb) => Rgb {
  throw new Error('being written')
}

/** Linear picture in the plate's primaries to 8-bit sRGB, three bytes a pixel. */
export function viewImage(_image: FloatImage, _encoding: ColourEncoding, _options?: ViewOptions): Uint8Array {
  throw new Error('being written')
}
