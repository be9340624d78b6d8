/** What must hold of every render: the plate leaves as it came wherever nothing touches it. */

import { type NativeFrame, type PixelLayout, sameLayout } from '../../src/core/index.js'
import { FrameMaker } from '../../src/engine/frame.js'
import { frameInputs } from '../../src/engine/inputs.js'
import { makePlan } from '../../src/engine/plan.js'
import { closeShot, openShot } from '../../src/engine/sources.js'
import type { DeliveryFormat } from '../../src/media/index.js'
import type { Shot } from '../../src/shot/schema.js'

export interface Sacred {
  readonly frames: number
  /** Samples of the null render that differ from the plate's own finite ones; −1 where the layouts do not agree. */
  readonly nullDiffers: number
  /** Samples of the result that differ from the null render although no touched pixel lies in their footprint. */
  readonly strayed: number
  /** Samples that the treatments changed. */
  readonly changed: number
}

/** Renders the first `count` frames both ways, without an encoder, and compares sample by sample. */
export async function plateIsSacred(
  shot: Shot,
  folder: string,
  format: DeliveryFormat,
  count: number,
): Promise<Sacred> {
  const sources = await openShot(shot, folder)
  try {
    const result = new FrameMaker(makePlan(shot, sources, { format }))
    const bare = new FrameMaker(makePlan(shot, sources, { format, variant: 'null' }))
    const sums = { frames: 0, nullDiffers: 0, strayed: 0, changed: 0 }
    for await (const input of frameInputs(
      shot,
      sources,
      Array.from({ length: count }, (_, i) => i),
    )) {
      const without = bare.make(input).frame
      const made = result.make(input).frame
      const mask = touchedMask(result, input, shot, made)
      sums.frames++
      sums.nullDiffers = sameCoding(
        without,
        input.plate,
        sources.plate.info.encoding.range,
        makePlan(shot, sources, { format }).delivery.encoding.range,
      )
        ? sums.nullDiffers + differing(without, input.plate)
        : -1
      const { strayed, changed } = compareOutside(made, without, mask)
      sums.strayed += strayed
      sums.changed += changed
    }
    return sums
  } finally {
    await closeShot(sources)
  }
}

function sameCoding(a: NativeFrame, b: NativeFrame, range: string, toRange: string): boolean {
  return sameLayout(a.layout, b.layout) && range === toRange
}

function differing(a: NativeFrame, b: NativeFrame): number {
  let n = 0
  a.planes.forEach((p, i) => {
    const other = b.planes[i]?.data
    for (let k = 0; k < p.data.length; k++) {
      // NaN and infinity are replaced, and that is told elsewhere.
      if (p.data[k] !== other?.[k] && Number.isFinite(other?.[k])) n++
    }
  })
  return n
}

/** 1 at every pixel where a layer holds anything, plus the boxes of surfaces that answer a light. */
function touchedMask(
  maker: FrameMaker,
  input: Parameters<FrameMaker['layers']>[0],
  shot: Shot,
  frame: NativeFrame,
): Uint8Array {
  const mask = new Uint8Array(frame.width * frame.height)
  for (const { image } of maker.layers(input).layers) {
    const { region: r, data } = image
    for (let i = 0; i < data.length; i++) {
      if (data[i] === 0) continue
      const p = i >> 2
      mask[(r.y + Math.floor(p / r.width)) * frame.width + r.x + (p % r.width)] = 1
    }
  }
  for (const s of shot.elements.flatMap((e) => e.lights ?? [])) {
    const xs = s.polygon.map(([x]) => x)
    const ys = s.polygon.map(([, y]) => y)
    for (
      let y = Math.max(0, Math.floor(Math.min(...ys) - s.featherPx));
      y < Math.min(frame.height, Math.max(...ys) + s.featherPx);
      y++
    ) {
      for (
        let x = Math.max(0, Math.floor(Math.min(...xs) - s.featherPx));
        x < Math.min(frame.width, Math.max(...xs) + s.featherPx);
        x++
      ) {
        mask[y * frame.width + x] = 1
      }
    }
  }
  return mask
}

function compareOutside(
  made: NativeFrame,
  without: NativeFrame,
  mask: Uint8Array,
): { strayed: number; changed: number } {
  let strayed = 0
  let changed = 0
  made.planes.forEach((plane, i) => {
    const other = without.planes[i]?.data
    for (let k = 0; k < plane.data.length; k++) {
      if (Object.is(plane.data[k], other?.[k])) continue
      changed++
      if (
        !footprintTouched(
          made.layout,
          i,
          k % plane.width,
          Math.floor(k / plane.width),
          mask,
          made.width,
          made.height,
        )
      )
        strayed++
    }
  })
  return { strayed, changed }
}

/** Whether a touched pixel lies where sample (x, y) of plane `i` takes its value from: two chroma steps around it. */
function footprintTouched(
  layout: PixelLayout,
  i: number,
  x: number,
  y: number,
  mask: Uint8Array,
  width: number,
  height: number,
): boolean {
  const chroma = layout.family === 'yuv' && (i === 1 || i === 2)
  const sx = chroma ? 1 << layout.subX : 1
  const sy = chroma ? 1 << layout.subY : 1
  const reachX = sx > 1 ? 2 * sx : 0
  const reachY = sy > 1 ? 2 * sy : 0
  for (let v = Math.max(0, y * sy - reachY); v <= Math.min(height - 1, y * sy + sy - 1 + reachY); v++) {
    for (let u = Math.max(0, x * sx - reachX); u <= Math.min(width - 1, x * sx + sx - 1 + reachX); u++) {
      if (mask[v * width + u] === 1) return true
    }
  }
  return false
}
