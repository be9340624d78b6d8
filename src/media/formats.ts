/**
 * Pixel formats by FFmpeg's name, and how their samples map to our planes (`core/planes.ts`).
 *
 * A format is a list of memory planes (words a step, subsampling) and, for each of our planes in the order
 * Y, Cb, Cr (, A) or R, G, B (, A), where its samples lie: plane, first word, words between samples, right shift.
 * Grey formats send R, G and B to the same words; their three planes share one array.
 *
 * Source: the format list of FFmpeg's libavutil/pixdesc.c (names and memory order are facts of that library).
 */
import { type PixelLayout, Problem } from '../core/index.js'

interface MemoryPlane {
  /** Words in one step of a row. */
  readonly step: number
  /** log2 of luma samples a step spans, horizontally and vertically. */
  readonly subX: number
  readonly subY: number
}

export interface Component {
  readonly plane: number
  readonly offset: number
  readonly step: number
  readonly shift: number
}

export interface PixelFormat {
  /** FFmpeg's name, endianness included: `yuv422p10le`. */
  readonly name: string
  readonly layout: PixelLayout
  readonly word: 'u8' | 'u16' | 'u32' | 'half' | 'float'
  readonly bigEndian: boolean
  readonly planes: readonly MemoryPlane[]
  readonly components: readonly Component[]
  /** The name itself says full range (`yuvj…`). */
  readonly fullRange: boolean
  readonly grey: boolean
  /** Packed into fewer bits than a byte, or through a table of 256 BGRA words behind the picture. */
  readonly special?: 'palette' | 'zero-black' | 'zero-white'
}

const table = new Map<string, PixelFormat>()
const wordBytes = { u8: 1, u16: 2, u32: 4, half: 2, float: 4 } as const

type Draft = Omit<PixelFormat, 'bigEndian' | 'fullRange' | 'grey'> & { fullRange?: boolean; grey?: boolean }

/** Registers a format; names of wide words get their two endings. */
function add(f: Draft): void {
  const full = { fullRange: false, grey: false, ...f }
  if (wordBytes[f.word] === 1) {
    table.set(f.name, { ...full, bigEndian: false })
    return
  }
  table.set(`${f.name}le`, { ...full, name: `${f.name}le`, bigEndian: false })
  table.set(`${f.name}be`, { ...full, name: `${f.name}be`, bigEndian: true })
}

type Sub = readonly [0 | 1 | 2, 0 | 1]

function layoutOf(
  family: 'yuv' | 'rgb',
  bits: number,
  alpha: boolean,
  [subX, subY]: Sub = [0, 0],
): PixelLayout {
  return { family, bits, float: bits === 32, subX, subY, alpha }
}

const wordOf = (bits: number) => (bits === 32 ? 'float' : bits > 8 ? 'u16' : 'u8')
const FULL: MemoryPlane = { step: 1, subX: 0, subY: 0 }

/** One memory plane a component; `order[i]` is the memory plane of our plane i. */
function planar(name: string, layout: PixelLayout, order: readonly number[], shift = 0): Draft {
  const chroma = { step: 1, subX: layout.subX, subY: layout.subY }
  return {
    name,
    layout,
    word: wordOf(layout.bits),
    planes: order.map((_, i) => (layout.family === 'yuv' && (i === 1 || i === 2) ? chroma : FULL)),
    components: order.map((plane) => ({ plane, offset: 0, step: 1, shift })),
  }
}

/** All components in one memory plane, `step` words a pixel; `offsets[i]` is the word of our plane i. */
function packed(
  name: string,
  layout: PixelLayout,
  step: number,
  offsets: readonly number[],
  shift = 0,
): Draft {
  return {
    name,
    layout,
    word: wordOf(layout.bits),
    planes: [{ step, subX: 0, subY: 0 }],
    components: offsets.map((offset) => ({ plane: 0, offset, step, shift })),
  }
}

/** Components inside one 32-bit word. */
function inWord(name: string, layout: PixelLayout, shifts: readonly number[]): Draft {
  const components = shifts.map((shift) => ({ plane: 0, offset: 0, step: 1, shift }))
  return { name, layout, word: 'u32', planes: [FULL], components }
}

/** Luma plane and one plane of interleaved chroma; samples in the high bits. */
function semiPlanar(
  name: string,
  bits: number,
  sub: Sub,
  [cb, cr]: readonly [number, number],
  shift: number,
): Draft {
  return {
    name,
    layout: layoutOf('yuv', bits, false, sub),
    word: wordOf(bits),
    planes: [FULL, { step: 2, subX: sub[0], subY: sub[1] }],
    components: [
      { plane: 0, offset: 0, step: 1, shift },
      { plane: 1, offset: cb, step: 2, shift },
      { plane: 1, offset: cr, step: 2, shift },
    ],
  }
}

/** Two luma samples and one chroma pair in four words: offsets of Y, Cb, Cr. */
function packed422(
  name: string,
  bits: number,
  [y, cb, cr]: readonly [number, number, number],
  shift = 0,
): Draft {
  return {
    name,
    layout: layoutOf('yuv', bits, false, [1, 0]),
    word: wordOf(bits),
    planes: [{ step: 4, subX: 1, subY: 0 }],
    components: [
      { plane: 0, offset: y, step: 2, shift },
      { plane: 0, offset: cb, step: 4, shift },
      { plane: 0, offset: cr, step: 4, shift },
    ],
  }
}

const subs: readonly (readonly [string, Sub, plain: readonly number[], withAlpha: readonly number[]])[] = [
  ['420', [1, 1], [8, 9, 10, 12, 14, 16], [8, 9, 10, 16]],
  ['422', [1, 0], [8, 9, 10, 12, 14, 16], [8, 9, 10, 12, 16]],
  ['444', [0, 0], [8, 9, 10, 12, 14, 16], [8, 9, 10, 12, 16]],
  ['440', [0, 1], [8, 10, 12], []],
  ['411', [2, 0], [8], []],
]
const tailOf = (bits: number) => (bits === 8 ? '' : bits === 32 ? 'f32' : String(bits))
for (const [digits, sub, plain, withAlpha] of subs) {
  for (const bits of plain)
    add(planar(`yuv${digits}p${tailOf(bits)}`, layoutOf('yuv', bits, false, sub), [0, 1, 2]))
  for (const bits of withAlpha) {
    add(planar(`yuva${digits}p${tailOf(bits)}`, layoutOf('yuv', bits, true, sub), [0, 1, 2, 3]))
  }
  add({ ...planar(`yuvj${digits}p`, layoutOf('yuv', 8, false, sub), [0, 1, 2]), fullRange: true })
}
for (const bits of [8, 9, 10, 12, 14, 16, 32]) {
  const tail = tailOf(bits)
  const [rgb, rgba] = [layoutOf('rgb', bits, false), layoutOf('rgb', bits, true)]
  add(planar(`gbrp${tail}`, rgb, [2, 0, 1]))
  if (bits !== 9) add(planar(`gbrap${tail}`, rgba, [2, 0, 1, 3]))
  const grey = bits === 8 ? 'gray8' : bits === 32 ? 'grayf32' : `gray${bits}`
  add({ ...packed(grey, rgb, 1, [0, 0, 0]), grey: true })
}
for (const bits of [10, 12]) {
  add(planar(`yuv444p${bits}msb`, layoutOf('yuv', bits, false), [0, 1, 2], 16 - bits))
  add(planar(`gbrp${bits}msb`, layoutOf('rgb', bits, false), [2, 0, 1], 16 - bits))
}
for (const [bits, three, four, grey] of [
  [8, '24', '', 'ya8'],
  [16, '48', '64', 'ya16'],
] as const) {
  const [rgb, rgba] = [layoutOf('rgb', bits, false), layoutOf('rgb', bits, true)]
  add(packed(`rgb${three}`, rgb, 3, [0, 1, 2]))
  add(packed(`bgr${three}`, rgb, 3, [2, 1, 0]))
  add(packed(`rgba${four}`, rgba, 4, [0, 1, 2, 3]))
  add(packed(`bgra${four}`, rgba, 4, [2, 1, 0, 3]))
  add({ ...packed(grey, rgba, 2, [0, 0, 0, 1]), grey: true })
}
const [rgb8, rgba8] = [layoutOf('rgb', 8, false), layoutOf('rgb', 8, true)]
add(packed('argb', rgba8, 4, [1, 2, 3, 0]))
add(packed('abgr', rgba8, 4, [3, 2, 1, 0]))
add(packed('rgb0', rgb8, 4, [0, 1, 2]))
add(packed('bgr0', rgb8, 4, [2, 1, 0]))
add(packed('0rgb', rgb8, 4, [1, 2, 3]))
add(packed('0bgr', rgb8, 4, [3, 2, 1]))
add({ ...packed('pal8', rgba8, 1, [0, 0, 0, 0]), special: 'palette' })
add({ ...packed('monob', rgb8, 1, [0, 0, 0]), grey: true, special: 'zero-black' })
add({ ...packed('monow', rgb8, 1, [0, 0, 0]), grey: true, special: 'zero-white' })
add(packed('xyz12', layoutOf('rgb', 12, false), 3, [0, 1, 2], 4))
add(inWord('x2rgb10', layoutOf('rgb', 10, false), [20, 10, 0]))
add(inWord('x2bgr10', layoutOf('rgb', 10, false), [0, 10, 20]))

const [rgb32, rgba32] = [layoutOf('rgb', 32, false), layoutOf('rgb', 32, true)]
add(packed('rgbf32', rgb32, 3, [0, 1, 2]))
add(packed('rgbaf32', rgba32, 4, [0, 1, 2, 3]))
add({ ...packed('yaf32', rgba32, 2, [0, 0, 0, 1]), grey: true })
add({ ...packed('rgbf16', rgb32, 3, [0, 1, 2]), word: 'half' })
add({ ...packed('rgbaf16', rgba32, 4, [0, 1, 2, 3]), word: 'half' })
add({ ...packed('grayf16', rgb32, 1, [0, 0, 0]), word: 'half', grey: true })
add({ ...packed('yaf16', rgba32, 2, [0, 0, 0, 1]), word: 'half', grey: true })
add({ ...planar('gbrpf16', rgb32, [2, 0, 1]), word: 'half' })
add({ ...planar('gbrapf16', rgba32, [2, 0, 1, 3]), word: 'half' })

add(semiPlanar('nv12', 8, [1, 1], [0, 1], 0))
add(semiPlanar('nv21', 8, [1, 1], [1, 0], 0))
add(semiPlanar('nv16', 8, [1, 0], [0, 1], 0))
add(semiPlanar('nv24', 8, [0, 0], [0, 1], 0))
add(semiPlanar('nv42', 8, [0, 0], [1, 0], 0))
add(semiPlanar('nv20', 10, [1, 0], [0, 1], 0))
for (const [digit, sub] of [
  ['0', [1, 1]],
  ['2', [1, 0]],
  ['4', [0, 0]],
] as const) {
  for (const bits of [10, 12, 16]) add(semiPlanar(`p${digit}${bits}`, bits, sub, [0, 1], 16 - bits))
}
add(packed422('yuyv422', 8, [0, 1, 3]))
add(packed422('yvyu422', 8, [0, 3, 1]))
add(packed422('uyvy422', 8, [1, 0, 2]))
for (const bits of [10, 12, 16]) add(packed422(`y2${bits}`, bits, [0, 1, 3], 16 - bits))
const [yuv8, yuva8] = [layoutOf('yuv', 8, false), layoutOf('yuv', 8, true)]
add(packed('ayuv', yuva8, 4, [1, 2, 3, 0]))
add(packed('vuya', yuva8, 4, [2, 1, 0, 3]))
add(packed('uyva', yuva8, 4, [1, 0, 2, 3]))
add(packed('vuyx', yuv8, 4, [2, 1, 0]))
add(packed('vyu444', yuv8, 3, [1, 2, 0]))
add(packed('ayuv64', layoutOf('yuv', 16, true), 4, [1, 2, 3, 0]))
add(packed('xv36', layoutOf('yuv', 12, false), 4, [1, 0, 2], 4))
add(packed('xv48', layoutOf('yuv', 16, false), 4, [1, 0, 2]))
add(inWord('xv30', layoutOf('yuv', 10, false), [10, 0, 20]))
add(inWord('v30x', layoutOf('yuv', 10, false), [12, 2, 22]))

/** Names that FFmpeg prints in another way. */
const alias: Readonly<Record<string, string>> = { gray: 'gray8', gray8a: 'ya8' }

/** The format of that FFmpeg name, or `undefined` when our planes cannot hold it (4:1:0, Bayer, 5-6-5 …). */
export function findFormat(name: string): PixelFormat | undefined {
  return table.get(alias[name] ?? name)
}

/** @throws Problem `media.unsupported-layout` */
export function formatNamed(name: string, where?: string): PixelFormat {
  const found = findFormat(name)
  if (found !== undefined) return found
  throw new Problem({
    code: 'media.unsupported-layout',
    what: 'The samples lie in an order that cannot be read',
    ...(where === undefined ? {} : { where }),
    expected: 'Y′CbCr 4:2:0, 4:2:2, 4:4:4, 4:4:0 or 4:1:1, RGB or grey, 8 to 16 bits or float',
    received: name,
    remedy: 'Convert the file to ProRes, 16-bit PNG or EXR.',
  })
}

/** Every format that can be read, for tests and for the reference. */
export function allFormats(): readonly PixelFormat[] {
  return [...table.values()]
}

/** Rows and words a row of memory plane `i`, without padding. */
export function memorySize(f: PixelFormat, width: number, height: number, i: number) {
  const p = f.planes[i]
  if (p === undefined) throw new RangeError(`no plane ${i} in ${f.name}`)
  const bits = f.special === 'zero-black' || f.special === 'zero-white'
  const steps = bits ? (width + 7) >> 3 : (width + (1 << p.subX) - 1) >> p.subX
  return { words: steps * p.step, rows: (height + (1 << p.subY) - 1) >> p.subY, bytes: wordBytes[f.word] }
}

/** Whether its planes are ours, row by row: little-endian, a sample a word, none shifted or shared between components. */
export function liesAsOurs(f: PixelFormat): boolean {
  if (f.special !== undefined || f.bigEndian || f.word === 'half' || f.word === 'u32') return false
  return f.components.every((c) => c.step === 1 && c.shift === 0 && c.offset === 0)
}
