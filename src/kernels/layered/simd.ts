// AssemblyScript: the SIMD twin of `scalar.ts`.

const LIMIT: f32 = 65504
const PER_UNIT: f64 = 1.0 / 4294967296.0
const NOTHING: f32 = 0.0009765625
const ABSENT: i32 = -32768
const ALIKE: i32 = 2
const ALIKE_LEVELS: i32 = 12
const PARTING: i32 = 16
const BLOCK: i32 = 8
const ENOUGH: f32 = 0.125
/** Shift by which a square with one shape of the opening is counted. */
const CELL: i32 = 5
/** Bytes of a pixel's steps: five doubles and an empty one. */
const STEPS: usize = 48

/** 8 levels a band; see `levels.ts`. */
@inline
function bandOf(level: i32): i32 {
  return (level + 4) >> 3
}

@inline
function otherDepth(levels: i32): f32 {
  return <f32>min(max(abs(levels) - ALIKE_LEVELS, 0), PARTING) / <f32>PARTING
}

/**
 * What the pixels of a band give each pixel of the picture: added to three lights and three coverages, 64 bytes a pixel, of what is
 * nearer than it, as far, or farther; last how much the nearer things of the same slope cover.
 *
 * @param light, levels of the scene, `wide` pixels a row
 * @param left, top, width, height where the band has pixels
 * @param shapes addresses of shapes by `level − first`, `count` for each cell (`cells` in a row of them, 0: one shape a level). A shape
 *   is its number of rows; each has its place, its number of steps, and they the bytes to the right and the weight
 * @param seenX, seenY, seenWidth, seenHeight the picture in the scene
 * @param ring 2·reach + 1 rows of `width` + 2·reach + 2 pixels' steps
 */
export function layeredBand(
  light: usize,
  levels: usize,
  wide: i32,
  left: i32,
  top: i32,
  width: i32,
  height: i32,
  band: i32,
  reach: i32,
  shapes: usize,
  first: i32,
  count: i32,
  cells: i32,
  seenX: i32,
  seenY: i32,
  seenWidth: i32,
  seenHeight: i32,
  sums: usize,
  ring: usize,
): void {
  const slots = 2 * reach + 1
  const line = <usize>(width + slots + 1) * STEPS
  memory.fill(ring, 0, line * <usize>slots)
  for (let y = top; y < top + height + slots - 1; y++) {
    if (y < top + height) {
      const row = y * wide
      for (let x = left; x < left + width; x++) {
        const level = i32.load(levels + (<usize>(row + x) << 2))
        if (level === ABSENT || bandOf(level) !== band) continue
        const cell = (y >> CELL) * cells + (cells > 0 ? x >> CELL : 0)
        const shape = <usize>i32.load(shapes + (<usize>(cell * count + level - first) << 2))
        spread(light + (<usize>(row + x) << 4), shape, ring, line, y, slots, <usize>(x - left + reach) * STEPS)
      }
    }
    // Nothing more is added to this row.
    const done = y - reach
    const from = ring + <usize>((done + slots) % slots) * line
    if (done < seenY || done >= seenY + seenHeight) {
      memory.fill(from, 0, line)
      continue
    }
    const into = sums + (<usize>((done - seenY) * seenWidth) << 6)
    give(from, line, levels + (<usize>(done * wide) << 2), left - reach, band, seenX, seenWidth, into)
  }
}

function spread(light: usize, shape: usize, ring: usize, line: usize, y: i32, slots: i32, column: usize): void {
  const v = v128.load(light)
  const finite = f32x4.eq(f32x4.sub(v, v), f32x4.splat(0))
  const held = v128.and(f32x4.pmin(f32x4.pmax(v, f32x4.splat(-LIMIT)), f32x4.splat(LIMIT)), finite)
  const redGreen = f64x2.promote_low_f32x4(held)
  const blueAlpha = f64x2.promote_low_f32x4(i8x16.shuffle(held, held, 8, 9, 10, 11, 12, 13, 14, 15, 8, 9, 10, 11, 12, 13, 14, 15))
  const covers = f64x2(1, 0)
  const lit = v128.any_true(f32x4.ne(held, f32x4.splat(0)))
  let rows = i32.load(shape)
  shape += 8
  for (; rows > 0; rows--) {
    const slot = (y + i32.load(shape) + slots) % slots
    let steps = i32.load(shape, 4)
    const to = ring + <usize>slot * line + column
    let a = f64x2.splat(0)
    let b = f64x2.splat(0)
    let c = f64x2.splat(0)
    shape += 8
    for (; steps > 1; steps--, shape += 16) {
      const at = to + i32.load(shape)
      const w = f64x2.splat(f64.load(shape, 8))
      const s = f64x2.nearest(f64x2.mul(covers, w))
      c = f64x2.add(c, s)
      v128.store(at, f64x2.add(v128.load(at, 32), s), 32)
      if (!lit) continue
      const p = f64x2.nearest(f64x2.mul(redGreen, w))
      const q = f64x2.nearest(f64x2.mul(blueAlpha, w))
      a = f64x2.add(a, p)
      b = f64x2.add(b, q)
      v128.store(at, f64x2.add(v128.load(at), p))
      v128.store(at, f64x2.add(v128.load(at, 16), q), 16)
    }
    const at = to + i32.load(shape)
    shape += 16
    v128.store(at, f64x2.sub(v128.load(at, 32), c), 32)
    if (!lit) continue
    v128.store(at, f64x2.sub(v128.load(at), a))
    v128.store(at, f64x2.sub(v128.load(at, 16), b), 16)
  }
}

/** A row that is done: summed along, added to the picture's sums, and left at 0. */
function give(
  from: usize,
  bytes: usize,
  levels: usize,
  column: i32,
  band: i32,
  seenX: i32,
  seenWidth: i32,
  sums: usize,
): void {
  const zero = f64x2.splat(0)
  const by = f64x2.splat(PER_UNIT)
  let a = zero
  let b = zero
  let c = zero
  for (let i: usize = 0, x = column; i < bytes; i += STEPS, x++) {
    const at = from + i
    a = f64x2.add(a, v128.load(at))
    b = f64x2.add(b, v128.load(at, 16))
    c = f64x2.add(c, v128.load(at, 32))
    v128.store(at, zero)
    v128.store(at, zero, 16)
    v128.store(at, zero, 32)
    if (x < seenX || x >= seenX + seenWidth) continue
    const level = i32.load(levels + (<usize>x << 2))
    if (level === ABSENT) continue
    const apart = (band << 3) - level
    const other = otherDepth(apart)
    const own = sums + (<usize>(x - seenX) << 6)
    const p = f32x4.demote_f64x2_zero(f64x2.mul(a, by))
    const q = f32x4.demote_f64x2_zero(f64x2.mul(b, by))
    const light = i8x16.shuffle(p, q, 0, 1, 2, 3, 4, 5, 6, 7, 16, 17, 18, 19, 20, 21, 22, 23)
    const covers = <f32>(f64x2.extract_lane(c, 0) * PER_UNIT)
    if (other < 1) {
      const part = <f32>1 - other
      v128.store(own, f32x4.add(v128.load(own, 16), f32x4.mul(f32x4.splat(part), light)), 16)
      f32.store(own, f32.load(own, 52) + part * covers, 52)
    }
    if (other === 0) continue
    const nearer = apart < 0
    const lightAt = own + (nearer ? 0 : 32)
    const coverAt = own + (nearer ? 48 : 56)
    const part = other * covers
    v128.store(lightAt, f32x4.add(v128.load(lightAt), f32x4.mul(f32x4.splat(other), light)))
    f32.store(coverAt, f32.load(coverAt) + part)
    if (nearer) f32.store(own, f32.load(own, 60) + (<f32>1 - otherDepth(abs(apart) - PARTING)) * part, 60)
  }
}

/**
 * What is farthest in each block of a scene: its light, its pixels, its band and 0, 32 bytes a block.
 *
 * @returns the farthest band of all
 */
export function layeredBlocks(light: usize, levels: usize, wide: i32, tall: i32, out: usize): i32 {
  let farthest = ABSENT
  for (let y = 0; y < tall; y += BLOCK)
    for (let x = 0; x < wide; x += BLOCK, out += 32) {
      let band = ABSENT
      for (let j = 0; j < BLOCK; j++)
        for (let i = 0; i < BLOCK; i++) {
          const level = i32.load(levels + (<usize>((y + j) * wide + x + i) << 2))
          if (level !== ABSENT) band = max(band, bandOf(level))
        }
      let sum = f32x4.splat(0)
      let pixels: f32 = 0
      for (let j = 0; j < BLOCK; j++)
        for (let i = 0; i < BLOCK; i++) {
          const p = <usize>((y + j) * wide + x + i)
          const level = i32.load(levels + (p << 2))
          if (level === ABSENT || band - bandOf(level) > ALIKE) continue
          const v = v128.load(light + (p << 4))
          const finite = f32x4.eq(f32x4.sub(v, v), f32x4.splat(0))
          sum = f32x4.add(sum, v128.and(f32x4.pmin(f32x4.pmax(v, f32x4.splat(-LIMIT)), f32x4.splat(LIMIT)), finite))
          pixels += 1
        }
      v128.store(out, sum)
      f32.store(out, pixels, 16)
      i32.store(out, band, 20)
      farthest = max(farthest, band)
    }
  return farthest
}

/**
 * A row of the picture from its sums.
 *
 * @param levels of the row's first pixel; x, y its place in the scene
 * @param radii how far a level looks for what it hides, from level `first` on
 */
export function layeredRow(
  sums: usize,
  levels: usize,
  x: i32,
  y: i32,
  pixels: i32,
  blocks: usize,
  across: i32,
  down: i32,
  farthest: i32,
  radii: usize,
  first: i32,
  out: usize,
): void {
  for (let i = 0; i < pixels; i++, sums += 64, out += 16) {
    const level = i32.load(levels + (<usize>i << 2))
    if (level === ABSENT) {
      v128.store(out, f32x4.splat(0))
      continue
    }
    const near = f32.load(sums, 48)
    const own = f32.load(sums, 52)
    const far = f32.load(sums, 56)
    const beside = <f32>1 / max(<f32>1 - f32.load(sums, 60), NOTHING)
    const open = <f32>1 - beside * own
    let ownPart: f32 = own > 0 ? <f32>1 / own : 0
    let farPart: f32 = 0
    let hiddenPart: f32 = 0
    if (open > NOTHING) {
      const lacking = open - beside * far
      ownPart = beside
      if (lacking > NOTHING) {
        const reach = f32.load(radii + (<usize>(level - first) << 2))
        pixelsFound = 0
        if ((farthest << 3) - level > ALIKE_LEVELS) behind(x + i, y, level, reach, blocks, across, down)
        const known = lacking * min(pixelsFound / (ENOUGH * reach * reach), <f32>1)
        const all = own + far
        if (all > 0) ownPart = beside + (lacking - known) / all
        farPart = ownPart
        hiddenPart = known > 0 ? known / pixelsFound : 0
      } else farPart = far > 0 ? open / far : 0
    }
    const nearPart: f32 = <f32>1 / max(near, <f32>1)
    const left: f32 = <f32>1 - min(near, <f32>1)
    let seen = f32x4.add(
      f32x4.mul(f32x4.splat(ownPart), v128.load(sums, 16)),
      f32x4.mul(f32x4.splat(farPart), v128.load(sums, 32)),
    )
    if (hiddenPart > 0) seen = f32x4.add(seen, f32x4.mul(f32x4.splat(hiddenPart), lightFound))
    const above = f32x4.mul(f32x4.splat(nearPart), v128.load(sums))
    v128.store(out, f32x4.add(above, f32x4.mul(f32x4.splat(left), seen)))
  }
}

/** What {@link behind} found last. */
let pixelsFound: f32 = 0
let lightFound = f32x4.splat(0)

function behind(x: i32, y: i32, level: i32, far: f32, blocks: usize, across: i32, down: i32): void {
  const reach = <i32>ceil<f32>(far)
  const x0 = max((x - reach) >> 3, 0)
  const y0 = max((y - reach) >> 3, 0)
  const x1 = min((x + reach) >> 3, across - 1)
  const y1 = min((y + reach) >> 3, down - 1)
  let light = f32x4.splat(0)
  let pixels: f32 = 0
  for (let j = y0; j <= y1; j++)
    for (let i = x0; i <= x1; i++) {
      const block = blocks + (<usize>(j * across + i) << 5)
      const apart = (i32.load(block, 20) << 3) - level
      if (apart <= ALIKE_LEVELS) continue
      const dx = <f32>(BLOCK * i - x) + <f32>3.5
      const dy = <f32>(BLOCK * j - y) + <f32>3.5
      const w = <f32>1 - sqrt<f32>(dx * dx + dy * dy) / far
      if (w <= 0) continue
      const part = w * otherDepth(apart)
      light = f32x4.add(light, f32x4.mul(f32x4.splat(part), v128.load(block)))
      pixels += part * f32.load(block, 16)
    }
  lightFound = light
  pixelsFound = pixels
}
