/** What is told of an OpenEXR file to those who do not read its header. */
import type { ExrFacts } from '../../types.js'
import type { ExrPicture } from '../picture.js'
import { refusal } from './guard.js'
import { layersOf } from './layers.js'

export function exrFacts({ header, layer }: ExrPicture): ExrFacts {
  return {
    layer: layer.name,
    layers: layersOf(header).flatMap((l) => (refusal(header, l, '') === undefined && l.name) || []),
    parts: header.parts.map((p) => ({
      ...(p.name === undefined ? {} : { name: p.name }),
      compression: p.compression,
      tiled: p.tile !== undefined,
      channels: p.channels.map(({ name, type, stepX, stepY }) => ({
        name,
        type,
        ...(stepX === 1 && stepY === 1 ? {} : { step: `${stepX}×${stepY}` }),
      })),
      dataWindow: p.dataWindow,
      displayWindow: p.displayWindow,
      ...(p.chromaticities === undefined ? {} : { chromaticities: p.chromaticities }),
    })),
  }
}
