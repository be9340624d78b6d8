import { Problem } from './problem.js'

/**
 * Where a subsampled chroma sample sits inside its group of luma samples. `left`: MPEG-2, H.264; `centre`: JPEG;
 * `top-left`: BT.2020. The others come from turned or mirrored clips: the first sample of a group is left or top, the
 * last one right or bottom. Along a side that is not subsampled the word has no meaning.
 */
export type Siting =
  | 'left'
  | 'centre'
  | 'right'
  | 'top-left'
  | 'top'
  | 'top-right'
  | 'bottom-left'
  | 'bottom'
  | 'bottom-right'

/** How a file's own samples lie in memory. Planes are Y, Cb, Cr (, A) or R, G, B (, A); never interleaved, never padded. */
export interface PixelLayout {
  readonly family: 'yuv' | 'rgb'
  /** Bits a sample, 8 to 16; 32 for float. Integer samples lie in the low bits. */
  readonly bits: number
  readonly float: boolean
  /** log2 of the horizontal and vertical chroma step: 1,1 is 4:2:0; 1,0 is 4:2:2; 0,0 is 4:4:4 and every RGB. */
  readonly subX: 0 | 1 | 2
  readonly subY: 0 | 1
  readonly alpha: boolean
}

export type Samples = Uint8Array | Uint16Array | Float32Array

export interface Plane {
  readonly width: number
  readonly height: number
  readonly data: Samples
}

/** One frame in the file's own samples: what the codec gave and what an encoder takes. */
export interface NativeFrame {
  readonly layout: PixelLayout
  readonly width: number
  readonly height: number
  readonly planes: readonly Plane[]
}

/** Size of plane `index` (0 luma or R) of a picture of this layout; odd sizes round up. */
export function planeSize(layout: PixelLayout, width: number, height: number, index: number) {
  const chroma = layout.family === 'yuv' && (index === 1 || index === 2)
  return {
    width: chroma ? (width + (1 << layout.subX) - 1) >> layout.subX : width,
    height: chroma ? (height + (1 << layout.subY) - 1) >> layout.subY : height,
  }
}

export function planeCount(layout: PixelLayout): 3 | 4 {
  return layout.alpha ? 4 : 3
}

/** A zeroed frame; `shared` puts it in memory that worker threads can see. */
export function allocateFrame(
  layout: PixelLayout,
  width: number,
  height: number,
  shared = false,
): NativeFrame {
  if (width < 1 || height < 1) {
    throw new Problem({
      code: 'core.empty-frame',
      what: 'A frame needs at least one pixel',
      received: `${width}×${height}`,
    })
  }
  const planes: Plane[] = []
  for (let i = 0; i < planeCount(layout); i++) {
    const size = planeSize(layout, width, height, i)
    planes.push({ ...size, data: allocateSamples(layout, size.width * size.height, shared) })
  }
  return { layout, width, height, planes }
}

function allocateSamples(layout: PixelLayout, count: number, shared: boolean): Samples {
  const bytes = layout.float ? 4 : layout.bits > 8 ? 2 : 1
  const buffer = shared ? new SharedArrayBuffer(count * bytes) : new ArrayBuffer(count * bytes)
  if (layout.float) return new Float32Array(buffer as ArrayBuffer)
  return bytes === 2 ? new Uint16Array(buffer as ArrayBuffer) : new Uint8Array(buffer as ArrayBuffer)
}

export function sameLayout(a: PixelLayout, b: PixelLayout): boolean {
  return (
    a.family === b.family &&
    a.bits === b.bits &&
    a.float === b.float &&
    a.subX === b.subX &&
    a.subY === b.subY &&
    a.alpha === b.alpha
  )
}

/** `yuv420 10 bit`, `rgb float with alpha`: for messages and reports. */
export function layoutName(l: PixelLayout): string {
  const sub =
    l.family === 'rgb'
      ? 'rgb'
      : `yuv4${l.subX === 2 ? '11' : l.subX === 0 ? (l.subY ? '40' : '44') : l.subY ? '20' : '22'}`
  return `${sub} ${l.float ? 'float' : `${l.bits} bit`}${l.alpha ? ' with alpha' : ''}`
}
