/** One preview frame whose files are in memory already, after an element was moved, against the same frame at its full size. */
import { dirname } from 'node:path'
import { loadShot } from '../../src/engine/document.js'
import { FrameMaker } from '../../src/engine/frame.js'
import { openPreview } from '../../src/engine/index.js'
import { frameInputs } from '../../src/engine/inputs.js'
import { makePlan } from '../../src/engine/plan.js'
import { closeShot, openShot } from '../../src/engine/sources.js'
import type { Shot } from '../../src/shot/schema.js'
import type { Scene } from './scene.js'
import { compared, type Row, turns } from './timing.js'

const WIDTH = 960

/** The element moves by a few pixels each turn; the ratio says how many times faster the preview is. */
export async function previewRow(scene: Scene, workers: number, rounds: number): Promise<Row> {
  const { shot } = await loadShot(scene.shot)
  const folder = dirname(scene.shot)
  const whole = await wholeFrame(shot, folder)
  const preview = await openPreview(shot, folder, { width: WIDTH, workers })
  let turn = 0
  let size = ''
  const small = async () => {
    const made = await preview.frame(0, { shot: moved(shot, ++turn) })
    size = `${made?.width}x${made?.height}`
  }
  try {
    // Decoded once, and every thread at work once.
    for (let i = 0; i < 3; i++) await small()
    const [ours = [], other = []] = await turns([small, async () => whole(moved(shot, turn))], rounds)
    const faster = compared(ours, 'full-size-frame', other, (mine, its) => its / mine)
    return { name: `preview-${size}`, size, ...faster }
  } finally {
    await preview.close()
  }
}

function moved(shot: Shot, by: number): Shot {
  const elements = shot.elements.map((e) => ({
    ...e,
    position: { x: e.position.x + 3 * by, y: e.position.y + by },
  }))
  return { ...shot, elements }
}

/** One thread, samples decoded before. */
async function wholeFrame(shot: Shot, folder: string): Promise<(shot: Shot) => void> {
  const sources = await openShot(shot, folder)
  try {
    for await (const input of frameInputs(shot, sources, [0])) {
      return (changed) => {
        new FrameMaker(makePlan(changed, sources, { format: 'prores-422-hq' })).make(input)
      }
    }
  } finally {
    await closeShot(sources)
  }
  throw new Error('the scene has no frame')
}
