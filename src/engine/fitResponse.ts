/** The camera's own curve, measured off a chart or a bracket; or why it is only assumed. */
import type { Quad } from '../chain/sensor/response/grid.js'
import { type CardPicture, measureBracket, measureChart } from '../chain/sensor/response/measure.js'
import type { FloatImage, Reading } from '../core/index.js'
import { unpack } from '../kernels/index.js'
import type { Source } from '../media/index.js'
import type { Shot, Treatment } from '../shot/schema.js'
import type { Cache } from './cache/store.js'
import { isLinear } from './response.js'
import { openRecord } from './sources.js'
import { curveAssumed } from './trust.js'

type Filmed = NonNullable<Shot['camera']['chart']> | NonNullable<Shot['camera']['bracket']>[number]

/**
 * What the document is to say of the camera's curve; nothing where the plate's own curve is as good as its tag.
 *
 * @throws Problem as `openSource` when a file that is named cannot be opened
 */
export async function fitResponse(
  shot: Shot,
  folder: string,
  plate: Source,
  cache?: Cache,
): Promise<Treatment | undefined> {
  const { chart, bracket } = shot.camera
  if (chart === undefined && bracket === undefined)
    return curveAssumed(plate) ? { cannotTell: assumedWords(plate) } : undefined
  if (isLinear(plate)) return { cannotTell: 'the plate is linear light: there is no curve to be read' }
  const { encoding } = plate.info
  const reading =
    chart === undefined
      ? await readBracket(bracket ?? [], folder, plate, cache)
      : await withPicture(chart, { folder, plate, cache }, (image) =>
          measureChart(image, chart.frame, chart.corners as Quad, encoding, chart.patches),
        )
  return 'cannotTell' in reading
    ? reading
    : ({ value: [...reading.value], evidence: reading.evidence } as Treatment)
}

function assumedWords({ info }: Source): string {
  return `the plate's curve, ${info.encoding.curve}, is assumed, so what is measured in its light is less sure; a 24-patch chart or an exposure bracket (camera.chart, camera.bracket) tells it, or set plate.curve where you know it`
}

async function readBracket(
  bracket: NonNullable<Shot['camera']['bracket']>,
  folder: string,
  plate: Source,
  cache: Cache | undefined,
): Promise<Reading<readonly number[]>> {
  const cards: CardPicture[] = []
  for (const e of bracket) {
    const { x, y, width, height } = e
    const picture = await withPicture(e, { folder, plate, cache }, (image) => ({ image }))
    if ('cannotTell' in picture) return picture
    cards.push({ ...picture, frame: e.frame, region: { x, y, width, height }, stops: e.stops })
  }
  return measureBracket(cards, plate.info.encoding)
}

/** Code values of a picture that was filmed at the plate's settings. */
async function withPicture<T>(
  filmed: Filmed,
  { folder, plate, cache }: { folder: string; plate: Source; cache: Cache | undefined },
  look: (image: FloatImage) => T,
): Promise<T | { cannotTell: string }> {
  const { file, matrix, range, frame } = filmed
  const tags = { ...(matrix === undefined ? {} : { matrix }), ...(range === undefined ? {} : { range }) }
  const source = file === undefined ? plate : await openRecord({ file, ...tags }, folder, cache)
  try {
    const name = file ?? 'the plate'
    if (isLinear(source)) return { cannotTell: `${name} is linear light: it holds none of the plate's codes` }
    if (frame >= source.info.frameCount)
      return { cannotTell: `${name} has no frame ${frame}: it has ${source.info.frameCount}` }
    for await (const native of source.frames(frame, 1)) {
      const whole = { x: 0, y: 0, width: native.width, height: native.height }
      return look(unpack(native, source.info.encoding, whole))
    }
    return { cannotTell: `${name} has no frame ${frame}` }
  } finally {
    if (file !== undefined) await source.close()
  }
}
