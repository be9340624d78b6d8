/**
 * What each delivery format takes: sample layout, colour encoding, encoder and container.
 * Profiles and layouts: [smpte-rdd36], [smpte-st2019-1], [h264], [openexr-layout], [png3].
 */
import { extname } from 'node:path'
import {
  type ColourEncoding,
  type CurveName,
  type MatrixName,
  type PixelLayout,
  Problem,
  type Siting,
} from '../../core/index.js'
import type { DeliveryFormat, DeliverySpec } from '../types.js'

/** A movie codec: every frame by itself (`intra`), or closed groups of `segment` frames. */
export interface MovieCodec {
  readonly kind: 'movie'
  readonly encoder: 'prores_aw' | 'prores_ks' | 'dnxhd' | 'libx264'
  /** FFmpeg's name of the layout. */
  readonly pixelFormat: string
  /**
   * H.264 says `cpu-independent`: else the encoder weighs its lookahead by what the processor is best at, whose roundings
   * differ, and its 8-bit AVX-512 one reads memory that nobody wrote: other bytes from run to run (ARCHITECTURE rule 7).
   */
  readonly options: Readonly<Record<string, string | number>>
  /** Number for encoders that take their profile from the context. */
  readonly profile?: number
  readonly intra: boolean
  /** Whether an encoder's packets do not depend on what it encoded before. */
  readonly forgets: boolean
  /** Frames in a part that is kept when the work is broken off. */
  readonly segment: number
  readonly smallest: { readonly width: number; readonly height: number }
}

export interface SequenceCodec {
  readonly kind: 'sequence'
  readonly extension: '.exr' | '.png'
}

interface Delivery {
  readonly layout: PixelLayout
  readonly codec: MovieCodec | SequenceCodec
}

const ANY = { width: 1, height: 1 }

function yuv(bits: number, subX: 0 | 1, subY: 0 | 1, alpha = false): PixelLayout {
  return { family: 'yuv', bits, float: false, subX, subY, alpha }
}

const deliveries: Readonly<Record<DeliveryFormat, Delivery>> = {
  'prores-422-hq': {
    layout: yuv(10, 1, 0),
    codec: {
      kind: 'movie',
      encoder: 'prores_aw',
      pixelFormat: 'yuv422p10le',
      options: {},
      profile: 3,
      intra: true,
      forgets: true,
      segment: 12,
      smallest: ANY,
    },
  },
  'prores-4444': {
    layout: yuv(10, 0, 0, true),
    codec: {
      kind: 'movie',
      encoder: 'prores_ks',
      pixelFormat: 'yuva444p10le',
      options: { profile: '4444', alpha_bits: 16 },
      intra: true,
      forgets: true,
      segment: 12,
      smallest: ANY,
    },
  },
  'dnxhr-hqx': {
    layout: yuv(10, 1, 0),
    codec: {
      kind: 'movie',
      encoder: 'dnxhd',
      pixelFormat: 'yuv422p10le',
      options: { profile: 'dnxhr_hqx' },
      intra: true,
      forgets: false,
      segment: 12,
      smallest: { width: 256, height: 120 },
    },
  },
  'h264-preview': {
    layout: yuv(8, 1, 1),
    codec: {
      kind: 'movie',
      encoder: 'libx264',
      pixelFormat: 'yuv420p',
      options: { preset: 'veryfast', crf: 16, bf: 0, 'x264-params': 'cpu-independent=1' },
      intra: false,
      forgets: false,
      segment: 48,
      smallest: ANY,
    },
  },
  'exr-half': {
    layout: { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false },
    codec: { kind: 'sequence', extension: '.exr' },
  },
  'png-16': {
    layout: { family: 'rgb', bits: 16, float: false, subX: 0, subY: 0, alpha: false },
    codec: { kind: 'sequence', extension: '.png' },
  },
}

export function deliveryCodec(format: DeliveryFormat): MovieCodec | SequenceCodec {
  return deliveries[format].codec
}

/**
 * Layout of the frames that a format takes. Only EXR follows the plate: it keeps an alpha channel where there is one.
 */
export function deliveryLayout(format: DeliveryFormat, plate?: { readonly alpha: boolean }): PixelLayout {
  const { layout } = deliveries[format]
  return format === 'exr-half' ? { ...layout, alpha: plate?.alpha ?? false } : layout
}

/**
 * Encoding of the frames that a format takes: the plate's own code values, limited range and the plate's own matrix
 * for Y′CbCr formats (BT.709 or BT.2020 by its primaries for an RGB plate); linear light for EXR. A linear plate gets a
 * curve for everything else (`deliveryFindings` says so): whole-number codes in linear light band in the shadows.
 */
export function deliveryEncoding(format: DeliveryFormat, plate: ColourEncoding): ColourEncoding {
  const { layout } = deliveries[format]
  const { primaries } = plate
  const curve = layout.float ? 'linear' : plate.curve === 'linear' ? chosenCurve(layout) : plate.curve
  const light = {
    curve,
    primaries,
    ...(layout.float || plate.response === undefined ? {} : { response: plate.response }),
  }
  if (layout.family === 'rgb') return { range: 'full', matrix: 'rgb', siting: plate.siting, ...light }
  const matrix: MatrixName =
    plate.matrix !== 'rgb' ? plate.matrix : primaries === 'bt2020' ? 'bt2020' : 'bt709'
  // 4:2:2 is co-sited with the left luma sample by its standards; only 4:2:0 has a choice to keep.
  const siting: Siting = layout.subY === 0 || plate.matrix === 'rgb' ? 'left' : plate.siting
  return { range: 'limited', matrix, siting, ...light }
}

/** What programs take by convention where nothing else is said: BT.709 of movies, sRGB of pictures. */
function chosenCurve(layout: PixelLayout): CurveName {
  return layout.family === 'yuv' ? 'bt709' : 'srgb'
}

/** What the choice of a format does to a plate that a person should know: `media.curve-chosen` for a linear plate. */
export function deliveryFindings(format: DeliveryFormat, plate: ColourEncoding, where: string): Problem[] {
  const { layout } = deliveries[format]
  if (plate.curve !== 'linear' || layout.float) return []
  return [
    new Problem({
      code: 'media.curve-chosen',
      what: `The plate is linear light, which ${format} cannot hold well; the file is coded with ${chosenCurve(layout)}, and light above white is cut off`,
      where,
      remedy: 'Deliver exr-half to keep the plate as it is.',
    }),
  ]
}

/** @throws Problem `media.wrong-extension`, `media.wrong-encoding`, `media.size-not-supported`, `media.bad-rate` before anything is written */
export function checkSpec(path: string, spec: DeliverySpec): void {
  const { layout, codec } = deliveries[spec.format]
  const { encoding, width, height, rate } = spec
  if (codec.kind === 'movie') checkEnding(path, spec.format)
  const whole = (n: number) => Number.isInteger(n) && n > 0
  const smallest = codec.kind === 'movie' ? codec.smallest : ANY
  if (!whole(width) || !whole(height) || width < smallest.width || height < smallest.height) {
    throw new Problem({
      code: 'media.size-not-supported',
      what: `${spec.format} cannot hold pictures of this size`,
      where: path,
      expected: `at least ${smallest.width}×${smallest.height}`,
      received: `${width}×${height}`,
      remedy: 'Choose ProRes or an image sequence.',
    })
  }
  if (!whole(rate.num) || !whole(rate.den)) {
    throw new Problem({
      code: 'media.bad-rate',
      what: 'The frame rate must be a fraction of whole positive numbers',
      where: path,
      received: `${rate.num}/${rate.den}`,
    })
  }
  const rgb = layout.family === 'rgb'
  const fits =
    (encoding.matrix === 'rgb') === rgb &&
    encoding.range === (rgb ? 'full' : 'limited') &&
    (!layout.float || encoding.curve === 'linear')
  if (!fits) {
    throw new Problem({
      code: 'media.wrong-encoding',
      what: `${spec.format} does not take samples coded so`,
      where: path,
      expected: rgb ? `full-range RGB${layout.float ? ', linear' : ''}` : 'limited-range Y′CbCr',
      received: `${encoding.range} range, matrix ${encoding.matrix}, curve ${encoding.curve}`,
      remedy: 'Ask deliveryEncoding for the encoding that the format takes.',
    })
  }
}

/** A movie under another kind's name is no movie to most programs, and may be somebody else's file. */
function checkEnding(path: string, format: DeliveryFormat): void {
  const fits = format === 'h264-preview' ? ['.mp4', '.mov'] : ['.mov']
  const ending = extname(path).toLowerCase()
  if (fits.includes(ending)) return
  throw new Problem({
    code: 'media.wrong-extension',
    what: 'The name does not fit the format',
    where: path,
    expected: `a name that ends in ${fits.join(' or ')}`,
    received: ending === '' ? 'no ending' : ending,
    remedy: `Name it so, or choose another format than ${format}.`,
  })
}
