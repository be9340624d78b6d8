/** The camera's own curve in the place of the one that a file names. */
import type { Evidence } from '../core/index.js'
import type { Source } from '../media/index.js'
import type { Shot } from '../shot/schema.js'

/** The document without a curve that an earlier fit measured: what was set by hand stays. */
export function withoutMeasuredResponse(shot: Shot): Shot {
  const t = shot.plate.treatments['sensor.response']
  if (t === undefined || ('value' in t && t.evidence.kind === 'set')) return shot
  const { 'sensor.response': _, ...treatments } = shot.plate.treatments
  return { ...shot, plate: { ...shot.plate, treatments } }
}

/** A source in the plate's code values, read through the camera's curve where the document has it. */
export function withResponse(source: Source, shot: Shot): Source {
  const t = shot.plate.treatments['sensor.response']
  if (t === undefined || !('value' in t) || isLinear(source)) return source
  const { info } = source
  return {
    info: {
      ...info,
      encoding: { ...info.encoding, response: t.value },
      encodingEvidence: { ...info.encodingEvidence, curve: t.evidence as Evidence },
    },
    ...(source.content === undefined ? {} : { content: source.content }),
    frames: (first, count, room) => source.frames(first, count, room),
    reach: (first) => source.reach(first),
    close: () => source.close(),
  }
}

/** Whether its samples are light itself. */
export function isLinear({ info }: Pick<Source, 'info'>): boolean {
  return info.layout.float || info.encoding.curve === 'linear'
}

/** A file in the plate's own curve came out of the same camera, and is read as the plate is. */
export function asPlate(source: Source, plate: Source, shot: Shot): Source {
  return source.info.encoding.curve === plate.info.encoding.curve ? withResponse(source, shot) : source
}
