/** The check of what a camera does after its curve: the element's edges in the finished file against those of the plate around it. */
import { type Comparison, cannotTell, type Seen, type SeenElement } from '../chain/compare.js'
import { compareOvershoot } from '../chain/sensor/sharpening/compare.js'
import { compareSharpColour } from '../chain/sensor/softChroma/compare.js'
import { intersect, type Region } from '../core/index.js'
import { cropImage } from '../kernels/index.js'
import type { Source } from '../media/index.js'
import type { Shot } from '../shot/schema.js'
import { type Lit, NO_CODES, processingOf } from './fitInCamera.js'
import { hasCodes } from './inCamera.js'

/** Part of the frame about an element that is looked at, px. */
const AROUND = { width: 768, height: 480 }
/** What covers so much is the element's own edge, within so many px; the plate's lies farther from all that was touched than a profile reaches. */
const SOLID = 0.9
const OUTLINE = 2
const AWAY = 10
/** Edges that each meter looks at: more takes long, and what gives an element away is seen on fewer. */
const EDGES = 160

export interface ProcessedLook {
  readonly frame: number
  readonly region: Region
  readonly element: Lit
  readonly plate: Lit
}

export function lookAtProcessed(seen: Seen, e: SeenElement): ProcessedLook {
  const part = partAbout(e.region, seen.plate.region)
  const image = cropImage(seen.rendered, part)
  const own = (p: number) => {
    const a = e.alpha[p] as number
    return a > SOLID && !((e.holdout?.[p] ?? 0) > 0) && (seen.keep[p] as number) < 1 - SOLID
  }
  const inside = near(part, seen.plate.region.width, OUTLINE, own)
  const touched = near(part, seen.plate.region.width, AWAY, (p) => seen.touched[p] === 1)
  const at = (mask: Uint8Array, x: number, y: number) => mask[y * part.width + x] === 1
  const { frame } = seen
  return {
    frame,
    region: e.region,
    element: { frame, image, here: (x, y) => at(inside, x, y) },
    plate: { frame, image, here: (x, y) => !at(touched, x, y) },
  }
}

function partAbout(r: Region, frame: Region): Region {
  const [width, height] = [Math.min(AROUND.width, frame.width), Math.min(AROUND.height, frame.height)]
  const from = (middle: number, size: number, all: number) =>
    Math.min(Math.max(Math.round(middle - size / 2), 0), all - size)
  const x = from(r.x + r.width / 2, width, frame.width)
  const y = from(r.y + r.height / 2, height, frame.height)
  return intersect({ x, y, width, height }, frame)
}

/** 1 within so many px, along both sides, of where it is true. */
function near(part: Region, wide: number, reach: number, is: (p: number) => boolean): Uint8Array {
  const { width, height } = part
  let mask = new Uint8Array(width * height)
  for (let y = 0, k = 0; y < height; y++)
    for (let x = 0; x < width; x++, k++) mask[k] = is((part.y + y) * wide + part.x + x) ? 1 : 0
  for (const [step, length, line] of [
    [1, width, width],
    [width, height, 1],
  ] as const) {
    const out = new Uint8Array(mask.length)
    for (let start = 0, n = 0; n < mask.length / length; n++, start = n * line)
      for (let i = 0; i < length; i++)
        if (mask[start + i * step] === 1)
          for (let k = Math.max(i - reach, 0); k <= Math.min(i + reach, length - 1); k++)
            out[start + k * step] = 1
    mask = out
  }
  return mask
}

/**
 * What the fit could not tell of the whole plate is not asked of a part of it.
 *
 * @param looks none where the element never showed
 */
export function compareProcessed(
  name: string,
  looks: readonly ProcessedLook[],
  plate: Source,
  { 'sensor.overshoot': swing, 'sensor.chromaBlur': soft }: Shot['plate']['treatments'],
): readonly Comparison[] {
  const [first] = looks
  if (first === undefined) return []
  if (!hasCodes(plate.info.encoding))
    return [cannotTell(['edge-overshoot', 'sharp-colour'], 'sensor', NO_CODES)]
  if (swing !== undefined && soft !== undefined && 'cannotTell' in swing && 'cannotTell' in soft)
    return [
      cannotTell('edge-overshoot', 'sensor', `of the plate ${swing.cannotTell}`),
      cannotTell('sharp-colour', 'sensor', `of the plate ${soft.cannotTell}`),
    ]
  const [own, around] = (['element', 'plate'] as const).map((of) =>
    processingOf(
      looks.map((l) => l[of]),
      plate,
      EDGES,
    ),
  ) as [ReturnType<typeof processingOf>, ReturnType<typeof processingOf>]
  const base = { frames: looks.map((l) => l.frame), region: first.region }
  return [
    compareOvershoot(name, { ...base, element: own.sharpening, plate: around.sharpening }),
    compareSharpColour(name, { ...base, element: own.chroma, plate: around.chroma }),
  ]
}
