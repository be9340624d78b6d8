/** From the document to what the plate's camera does after its curve: to the whole shot, and to one element. Pure, as `settings.ts`. */
import type { ElementSettings } from '../chain/element.js'
import { type CodeDomain, type InCamera, inCameraReach, slopesOf } from '../chain/inCamera.js'
import { sharpenFor } from '../chain/sensor/sharpening/apply.js'
import type { Sharpening } from '../chain/sensor/sharpening/model.js'
import { chromaFor } from '../chain/sensor/softChroma/apply.js'
import { channelCurves, type LumaWeights, lumaWeights } from '../colour/index.js'
import type { ColourEncoding } from '../core/index.js'
import type { Shot, ShotElement, Treatment } from '../shot/schema.js'
import { strengthOf } from '../shot/strength.js'
import type { Picture, Plan } from './plan.js'
import { plateSettled } from './plateSettings.js'
import { tablesOf } from './tables.js'

/** Of a file's luma; of one that holds R, G, B those of its primaries' own standard. */
export function weightsOfCodes({
  matrix,
  primaries,
}: Pick<ColourEncoding, 'matrix' | 'primaries'>): LumaWeights {
  if (matrix !== 'rgb') return lumaWeights[matrix]
  return primaries === 'bt2020' ? lumaWeights.bt2020 : lumaWeights.bt709
}

/** Whether a plate's codes are what a camera made by a curve: light has nothing after it. */
export function hasCodes({ curve }: Pick<ColourEncoding, 'curve'>): boolean {
  return curve !== 'linear'
}

/** What the plate's camera sharpens by, as the document says. */
export function plateSharpening(shot: Shot): Sharpening {
  const one = (name: Parameters<typeof plateSettled>[1], none: number) =>
    plateSettled(shot, name)?.[0] ?? none
  return {
    overshoot: one('sensor.overshoot', 0),
    width: one('sensor.overshootWidth', 2),
    radius: one('sensor.overshootRadius', 1.2),
  }
}

/**
 * @param brings how far the element's edges swing by themselves, and by how much its chroma is softer than its luma, px of its file;
 * undefined where a meter could not tell
 * @param scale plate pixels a pixel of its file
 */
export function inCameraOf(
  e: ShotElement,
  { shot, plate, delivery, variant }: Plan,
  brings: { readonly overshoot: number | undefined; readonly chroma: number | undefined },
  scale: number,
): InCamera | undefined {
  if (variant !== 'result' || !hasCodes(plate.encoding)) return undefined
  const share = strengthOf(e, 'sensor')
  const one = (name: Parameters<typeof plateSettled>[1], none: number) =>
    plateSettled(shot, name)?.[0] ?? none
  const placed = (value: number | undefined, by: number) => (value === undefined ? undefined : value * by)
  const [smaller, soft] = [Math.min(scale, 1), one('sensor.chromaBlur', 0)]
  const own = { overshoot: placed(brings.overshoot, smaller), chroma: placed(brings.chroma, scale) }
  const { 'sensor.overshoot': swing, 'sensor.chromaBlur': softness } = shot.plate.treatments
  const { 'sensor.elementOvershoot': ownSwing, 'sensor.elementChromaBlur': ownSoftness } = e.treatments
  const found: InCamera = {
    smear: share * one('sensor.smear', 0),
    sharpen: sharpenFor(
      plateSharpening(shot),
      own.overshoot,
      Math.hypot(spreadOfTreatment(swing), smaller * spreadOfTreatment(ownSwing)),
      share,
    ),
    chroma: chromaFor(
      soft,
      own.chroma,
      delivery.layout,
      2 *
        Math.hypot(
          soft * spreadOfTreatment(softness),
          (own.chroma ?? 0) * scale * spreadOfTreatment(ownSoftness),
        ),
      share,
    ),
  }
  return inCameraReach(found) > 0 ? found : undefined
}

/** Of a measured number; one that was set is sure. */
export function spreadOfTreatment(t: Treatment | undefined): number {
  return t !== undefined && 'value' in t && t.evidence.kind === 'measured' ? (t.evidence.spread ?? 0) : 0
}

/** Undefined where no element is processed. */
export function codesOf(
  plate: Picture,
  elements: ReadonlyMap<string, ElementSettings>,
): CodeDomain | undefined {
  if (![...elements.values()].some((s) => s.inCamera !== undefined)) return undefined
  const { encoding } = plate
  const [, green] = channelCurves(encoding)
  return {
    encode: tablesOf(encoding, 'encode'),
    decode: tablesOf(encoding, 'decode'),
    slope: slopesOf(green.decode),
    luma: weightsOfCodes(encoding),
  }
}
