import { wasm } from './bytes.js'
import { memory } from './memory.js'

/** What `assembly.ts` exports; addresses are byte offsets into `memory`. */
interface Exports {
  fill(start: number, count: number, value: number): void
  zero(start: number, bytes: number): void
  copy(out: number, src: number, bytes: number): void
  curve(
    data: number,
    pixels: number,
    red: number,
    green: number,
    blue: number,
    atZero: number,
    out: number,
  ): void
  matrix(data: number, pixels: number, columns: number): void
  veil(data: number, pixels: number, scale: number, offset: number): void
  gain(data: number, pixels: number, r: number, g: number, b: number): void
  over(dst: number, src: number, pixels: number): void
  add(dst: number, src: number, pixels: number): void
  mixRows(a: number, b: number, type: number, w: number, count: number, out: number): void
  between(row: number, index: number, weight: number, count: number, out: number): void
  betweenTwo(row: number, back: number, w0: number, w1: number, pairs: number, out: number): void
  yuvRow(luma: number, type: number, cb: number, cr: number, count: number, k: number, out: number): void
  planeRow(src: number, type: number, count: number, offset: number, scale: number, out: number): void
  coverRow(
    dst: number,
    variance: number,
    keep: number,
    touched: number,
    src: number,
    alphas: number,
    pixels: number,
    own: number,
  ): void
  varianceRow(src: number, pixels: number, red: number, green: number, blue: number, out: number): void
  topUpRow(
    dst: number,
    variance: number,
    field: number,
    coarse: number,
    touched: number,
    pixels: number,
    tables: number,
  ): void
  discStrip(
    src: number,
    line: number,
    width: number,
    height: number,
    column: number,
    out: number,
    outLine: number,
    count: number,
    by: number,
    disc: number,
    reach: number,
    weight: number,
    room: number,
  ): void
  apertureRows(
    src: number,
    line: number,
    width: number,
    height: number,
    out: number,
    outLine: number,
    table: number,
    rows: number,
    reach: number,
    weight: number,
    room: number,
  ): void
  layeredBand(
    light: number,
    levels: number,
    wide: number,
    left: number,
    top: number,
    width: number,
    height: number,
    band: number,
    reach: number,
    shapes: number,
    first: number,
    count: number,
    cells: number,
    seenX: number,
    seenY: number,
    seenWidth: number,
    seenHeight: number,
    sums: number,
    ring: number,
  ): void
  layeredBlocks(light: number, levels: number, wide: number, tall: number, out: number): number
  layeredRow(
    sums: number,
    levels: number,
    x: number,
    y: number,
    pixels: number,
    blocks: number,
    across: number,
    down: number,
    farthest: number,
    radii: number,
    first: number,
    out: number,
  ): void
  resampleAcross(
    src: number,
    first: number,
    count: number,
    weight: number,
    n: number,
    pixels: number,
    out: number,
  ): void
  resampleDown(rows: number, weight: number, count: number, pixels: number, out: number): void
  whiteRow(
    columns: number,
    y: number,
    count: number,
    quantiles: number,
    r: number,
    g: number,
    b: number,
  ): void
  filterAcross(row: number, taps: number, half: number, count: number, out: number): void
  filterDown(rows: number, taps: number, half: number, count: number, out: number): void
  weighAcross(row: number, places: number, weights: number, count: number, out: number): void
  weighDown(a: number, b: number, c: number, d: number, weights: number, count: number, out: number): void
  mixRow(first: number, second: number, third: number, factor: number, count: number, out: number): void
  rgbRow(
    r: number,
    g: number,
    b: number,
    type: number,
    count: number,
    offset: number,
    scale: number,
    out: number,
  ): void
  straightRow(
    data: number,
    pixels: number,
    red: number,
    green: number,
    blue: number,
    luminance: number,
    richest: number,
  ): void
  peakRow(code: number, own: number, touched: number, pixels: number): void
  firstLit(row: number, pixels: number): number
  lastLit(row: number, pixels: number): number
  repeatEnds(row: number, count: number): void
  mirrorEnds(row: number, count: number): void
  channelRow(src: number, pixels: number, out: number): void
  toHalfRow(src: number, count: number, out: number, faults: number): void
  fromHalfRow(src: number, count: number, out: number): void
  splitRow(src: number, pairs: number, out: number): void
  pickRow(src: number, bytes: number, step: number, tables: number, shift: number, out: number): void
  lumaChromaRow(src: number, pixels: number, k: number, luma: number, cb: number, cr: number): void
  threeRows(src: number, pixels: number, r: number, g: number, b: number): void
  codesRow(src: number, type: number, count: number, k: number, out: number, outType: number): void
  floatsRow(src: number, type: number, count: number, offset: number, scale: number, out: number): void
  widenRow(src: number, type: number, count: number, left: number, out: number): void
  mixWidenRow(
    a: number,
    b: number,
    type: number,
    eighths: number,
    count: number,
    left: number,
    out: number,
  ): void
  floatRow(src: number, type: number, count: number, out: number): void
  filterTaps(row: number, index: number, weight: number, n: number, count: number, out: number): void
  filterHalf(row: number, weights: number, count: number, out: number): void
  addRow(sum: number, row: number, w: number, count: number): void
  warpPlanes(
    src: number,
    line: number,
    width: number,
    rows: number,
    out: number,
    pitch: number,
    plane: number,
    held: number,
  ): void
  warpShifts(above: number, below: number, down: number, cells: number, out: number): void
  warpRow(
    shift: number,
    apart: number,
    x: number,
    y: number,
    live: number,
    planes: number,
    pitch: number,
    plane: number,
    width: number,
    height: number,
    room: number,
    skip: number,
    pixels: number,
    out: number,
  ): void
  warpColouredRow(
    shift: number,
    apart: number,
    x: number,
    y: number,
    live: number,
    planes: number,
    pitch: number,
    plane: number,
    width: number,
    height: number,
    room: number,
    skip: number,
    pixels: number,
    out: number,
    coverage: number,
  ): void
  warpWideRow(
    shift: number,
    apart: number,
    x: number,
    y: number,
    stretch: number,
    bits: number,
    frameX: number,
    last: number,
    live: number,
    planes: number,
    pitch: number,
    plane: number,
    width: number,
    height: number,
    room: number,
    skip: number,
    pixels: number,
    out: number,
    coverage: number,
  ): void
  streakRow(
    above: number,
    below: number,
    down: number,
    plane: number,
    columns: number,
    taps: number,
    across: number,
    step: number,
    column: number,
    src: number,
    width: number,
    height: number,
    x: number,
    y: number,
    pixels: number,
    out: number,
  ): void
  settleRow(
    base: number,
    type: number,
    after: number,
    before: number,
    keep: number,
    mask: number,
    maskType: number,
    count: number,
    k: number,
  ): void
  holdAlpha(data: number, pixels: number, divide: number): void
  timesAlpha(data: number, pixels: number, always: number): void
  setAlpha(data: number, pixels: number, alpha: number): void
  alphaFromLight(data: number, pixels: number): void
  halveDepth(light: number, coverage: number, pixels: number): void
  castRow(
    light: number,
    variance: number,
    touched: number,
    share: number,
    pixels: number,
    x: number,
    lamps: number,
    peak: number,
  ): void
  lightRow(src: number, pixels: number, x: number, sums: number): void
  nextNotFinite(data: number, from: number, length: number): number
  nextAbove(data: number, from: number, pixels: number, limit: number): number
  floorLoad(src: number, floor: number, pixels: number, out: number): void
  floorRow(above: number, here: number, below: number, scale: number, pixels: number, out: number): void
  addColour(dst: number, src: number, pixels: number): void
  scale(data: number, pixels: number, by: number): void
  blockNoise(src: number, stride: number, size: number, scratch: number, out: number): void
  countPixels(src: number, pixels: number, counts: number): void
  finiteRow(src: number, pixels: number, out: number): void
  halveRow(
    a: number,
    b: number,
    c: number,
    d: number,
    e: number,
    next: number,
    pixels: number,
    out: number,
  ): void
  gaussRow(middle: number, step: number, taps: number, half: number, pixels: number, out: number): void
  splineAcross(row: number, weights: number, levels: number, at: number, pixels: number, out: number): void
  splineDown(a: number, b: number, c: number, d: number, weights: number, pixels: number, out: number): void
}

type Outside = (channel: 0 | 1 | 2, x: number) => number

let outside: Outside = (_channel, x) => x

/** What a curve's kernel asks where its tables end. */
export function answerOutside(fn: Outside): void {
  outside = fn
}

const imports = {
  env: { memory, abort() {} },
  platefit: { outside: (channel: 0 | 1 | 2, x: number) => outside(channel, x) },
}

const { exports } = new WebAssembly.Instance(new WebAssembly.Module(wasm), imports)

/** The kernels of this thread; an object of our own, in which a test can count their calls. */
export const simd = { ...(exports as unknown as Exports) }
