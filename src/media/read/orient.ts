/**
 * Turning and mirroring a picture in its own samples: whole-sample moves, nothing is interpolated. Turning 4:2:2 by a
 * quarter makes 4:4:0. Where chroma sits against luma turns along; on an odd side a chroma site halfway between two
 * luma samples has no exact place after a flip, and that is refused.
 */
import {
  layoutName,
  type NativeFrame,
  type PixelLayout,
  type Plane,
  Problem,
  type Samples,
  type Siting,
} from '../../core/index.js'

/** Rows and columns change places first (`transpose`), then the result is mirrored. */
export interface Orientation {
  readonly transpose: boolean
  readonly flipX: boolean
  readonly flipY: boolean
}

export const UPRIGHT: Orientation = { transpose: false, flipX: false, flipY: false }

export function isUpright(o: Orientation): boolean {
  return !o.transpose && !o.flipX && !o.flipY
}

/**
 * From the 3 × 3 display matrix of a file (int32, 16.16 fixed, rows `a b u`, `c d v`, `x y w`; a point (p, q) goes to
 * (a·p + c·q, b·p + d·q), y down). `undefined` when it is no whole number of quarter turns.
 * Source: [iso14496-12 §6.2.2].
 */
export function fromDisplayMatrix(bytes: Uint8Array): Orientation | undefined {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const [a, b, c, d] = [0, 4, 12, 16].map((at) => view.getInt32(at, true)) as [number, number, number, number]
  const straight = b === 0 && c === 0 && a !== 0 && d !== 0
  if (straight) return { transpose: false, flipX: a < 0, flipY: d < 0 }
  const turned = a === 0 && d === 0 && b !== 0 && c !== 0
  return turned ? { transpose: true, flipX: c < 0, flipY: b < 0 } : undefined
}

/** Degrees clockwise and whether a left-right mirroring comes before the turn. */
export function turnOf(o: Orientation): { degrees: 0 | 90 | 180 | 270; mirrored: boolean } {
  const mirrored = o.transpose ? o.flipX === o.flipY : o.flipX !== o.flipY
  if (o.transpose) return { degrees: o.flipY ? 270 : 90, mirrored }
  return { degrees: o.flipY ? 180 : 0, mirrored }
}

export function orientedLayout(layout: PixelLayout, o: Orientation, where: string): PixelLayout {
  if (!o.transpose || layout.subX === layout.subY) return layout
  if (layout.subX === 2) {
    throw new Problem({
      code: 'media.rotation-411',
      what: '4:1:1 cannot be turned by a quarter in its own samples',
      where,
      received: layoutName(layout),
      remedy: 'Turn the clip when you transcode it to 4:2:2 or 4:4:4.',
    })
  }
  return { ...layout, subX: layout.subY, subY: layout.subX }
}

/** Place of a chroma site inside its group of luma samples: 0 first, 1/2 between, 1 last. */
const places: Readonly<Record<Siting, readonly [number, number]>> = {
  left: [0, 0.5],
  centre: [0.5, 0.5],
  right: [1, 0.5],
  'top-left': [0, 0],
  top: [0.5, 0],
  'top-right': [1, 0],
  'bottom-left': [0, 1],
  bottom: [0.5, 1],
  'bottom-right': [1, 1],
}

/** Siting after turning a picture whose size *before* is given. @throws Problem `media.rotation-odd` */
export function orientedSiting(
  siting: Siting,
  layout: PixelLayout,
  width: number,
  height: number,
  o: Orientation,
  where: string,
): Siting {
  const [x, y] = places[siting]
  const flipP = o.transpose ? o.flipY : o.flipX
  const flipQ = o.transpose ? o.flipX : o.flipY
  const p = flipP && layout.subX > 0 ? mirror(x, width, layout, where) : x
  const q = flipQ && layout.subY > 0 ? mirror(y, height, layout, where) : y
  const [toX, toY] = o.transpose ? [q, p] : [p, q]
  const found = Object.entries(places).find(([, v]) => v[0] === toX && v[1] === toY)
  return (found?.[0] ?? siting) as Siting
}

function mirror(place: number, size: number, layout: PixelLayout, where: string): number {
  const group = layout.subX === 2 ? 4 : 2
  if (group === 2 && size % 2 === 0) return 1 - place
  if (place === 0 && size % group === 1) return 0
  throw new Problem({
    code: 'media.rotation-odd',
    what: 'The clip asks to be turned or mirrored, and on this size its chroma samples have no exact place afterwards',
    where,
    expected: 'an even width and height',
    received: `${size} samples of ${layoutName(layout)}`,
    remedy: 'Turn the clip when you transcode it, or crop it to an even size.',
  })
}

export function orientFrame(frame: NativeFrame, o: Orientation, layout: PixelLayout): NativeFrame {
  if (isUpright(o)) return frame
  const done = new Map<Plane, Plane>()
  for (const plane of frame.planes) if (!done.has(plane)) done.set(plane, orientPlane(plane, o))
  const planes = frame.planes.map((p) => done.get(p) as Plane)
  const [width, height] = o.transpose ? [frame.height, frame.width] : [frame.width, frame.height]
  return { layout, width, height, planes }
}

function orientPlane(plane: Plane, o: Orientation): Plane {
  const { width: w, height: h, data } = plane
  const [width, height] = o.transpose ? [h, w] : [w, h]
  const out = new (data.constructor as new (n: number) => Samples)(w * h)
  const along = o.transpose ? w : 1
  const down = o.transpose ? 1 : w
  const start = (o.flipX ? (width - 1) * along : 0) + (o.flipY ? (height - 1) * down : 0)
  const stepX = o.flipX ? -along : along
  const stepY = o.flipY ? -down : down
  for (let y = 0, to = 0; y < height; y++) {
    let at = start + y * stepY
    for (let x = 0; x < width; x++, at += stepX) out[to++] = data[at] as number
  }
  return { width, height, data: out }
}
