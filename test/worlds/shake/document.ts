/** Shot documents of `rolling-shake`: what an artist knows, with an artist's error. */
import { between } from '../chance.js'
import { panelAt, type ShakeSetting, wallMatrix } from './setting.js'

type Json = { [key: string]: unknown }

/** Of a hand that places a picture, px; of a table of readout times, a share. */
const HAND = 0.25
const TABLE = 0.03

/**
 * @param camera what says how the camera went: followed in the plate where it is absent, else a file of matrices
 * @param exact without an artist's error
 */
export function shakeDocument(
  s: ShakeSetting,
  { clean = false, exact = false, camera }: { clean?: boolean; exact?: boolean; camera?: string } = {},
): Json {
  const error = (k: number) => (exact ? 0 : between(-1, 1, s.seed, k, 710))
  const [x, y] = panelAt(s, s.level)
  const key = (frame: number, k: number) => {
    const [px, py] = panelAt(s, frame)
    return { frame, dx: px - x + HAND * error(k), dy: py - y + HAND * error(k + 1) }
  }
  return {
    platefit: 1,
    plate: clean
      ? { file: 'clean/plate/plate.####.png', curve: 'bt709', rate: '24' }
      : { file: 'plate.mov', curve: 'bt709' },
    camera: {
      shutterAngleDeg: 360 * s.open,
      readoutMs: ((1000 * s.readout) / 24) * (1 + TABLE * error(9)),
    },
    tracks: [
      {
        ...{ id: 'camera', reference: s.level },
        ...(camera === undefined ? { motion: s.motion } : { file: camera }),
      },
    ],
    elements: [
      {
        ...{ id: 'panel', file: 'panel.png', curve: 'bt709', alpha: 'straight', nature: 'reflects' },
        ...{ position: { x, y }, scale: 0.5, time: { hold: 'both' } },
        keys: [key(-2, 1), key(s.frames + 1, 3)],
        follow: { track: 'camera' },
        treatments: {},
      },
    ],
  }
}

/** The camera's way as a file of matrices. */
export function cameraFile(s: ShakeSetting, matrixOf = (frame: number) => wallMatrix(s, frame)): string {
  const frames = Array.from({ length: s.frames }, (_, frame) => ({ frame, matrix: matrixOf(frame) }))
  return JSON.stringify({ pixelCentres: 'half', firstFrame: 0, y: 'down', frames })
}
