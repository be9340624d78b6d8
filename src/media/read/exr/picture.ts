/** The samples of one layer of an OpenEXR file, whatever way its channels are stored. */
import { luminanceRow } from '../../../colour/index.js'
import type { NativeFrame, Plane } from '../../../core/index.js'
import { formatNamed } from '../../formats.js'
import { type Look, ratio } from '../look.js'
import { exrPrimaries } from './colour.js'
import type { ExrHeader, ExrPart } from './header.js'
import { isolate } from './isolate.js'
import type { ExrLayer } from './layers.js'
import { fromLuma } from './luma.js'
import { isSampled, readSampled } from './sampled.js'

interface Decoded {
  readonly look: Look
  readonly frame: NativeFrame
}

/**
 * The layer's data window as light R, G, B (and A).
 * @param decode the codec library's reading of a plain file
 */
export async function readLayer(
  bytes: Buffer,
  h: ExrHeader,
  layer: ExrLayer,
  where: string,
  decode: (file: Buffer) => Promise<Decoded>,
): Promise<Decoded> {
  const part = h.parts[layer.part] as ExrPart
  const typeOf = (name: string) => part.channels.find((c) => c.name === name)?.type
  const types = new Set(layer.channels.map(typeOf))
  if (!isSampled(part) && types.size === 1 && layer.kind !== 'luma-chroma')
    return decode(isolate(bytes, h, layer, where))
  const planes = isSampled(part)
    ? readSampled(bytes, h, layer, where)
    : await oneByOne(layer, (one) => decode(isolate(bytes, h, one, where)))
  return asDecoded(inColour(planes, layer, part), bytes, part)
}

/** The codec library takes channels of one type only. */
async function oneByOne(layer: ExrLayer, read: (one: ExrLayer) => Promise<Decoded>): Promise<Plane[]> {
  const planes: Plane[] = []
  for (const name of layer.channels) {
    const { frame } = await read({ ...layer, channels: [name], kind: 'grey' })
    planes.push(frame.planes[0] as Plane)
  }
  return planes
}

/** R, G, B (and A) of the layer's channels as they are stored. */
function inColour(planes: readonly Plane[], layer: ExrLayer, part: ExrPart): Plane[] {
  const [first, second, third] = planes as [Plane, Plane, Plane]
  const colours = layer.kind === 'grey' ? 1 : 3
  const alpha = planes.slice(colours)
  if (layer.kind === 'grey') return [first, first, first, ...alpha]
  if (layer.kind === 'rgb') return [...planes]
  return [...fromLuma(first, [second, third], luminanceRow(exrPrimaries(part) ?? 'bt709')), ...alpha]
}

function asDecoded(planes: readonly Plane[], bytes: Buffer, part: ExrPart): Decoded {
  const { width, height } = part.dataWindow
  const format = formatNamed(planes.length === 4 ? 'gbrapf32le' : 'gbrpf32le')
  const aspect = part.attributes.get('pixelAspectRatio')
  const value = aspect === undefined ? 1 : bytes.readFloatLE(aspect.at)
  return {
    frame: { layout: format.layout, width, height, planes },
    look: {
      format,
      width,
      height,
      tags: { range: 0, primaries: 2, curve: 2, matrix: 2, siting: 0 },
      pixelAspect: ratio(Math.round(value * 10_000), 10_000),
      displayMatrix: undefined,
      alphaMode: 0,
    },
  }
}
