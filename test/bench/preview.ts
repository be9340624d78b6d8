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
import { middleOf, type Row, round, timed } from './timing.js'

const WIDTH = 960

/** `rounds` turns of both; the first few warm up and do not count. */
export async function previewRow(scene: Scene, workers: number, rounds: number): Promise<Row> {
  const { shot } = await loadShot(scene.shot)
  const folder = dirname(scene.shot)
  const whole = await wholeFrame(shot, folder)
  const preview = await openPreview(shot, folder, { width: WIDTH, workers })
  const [ours, other]: [number[], number[]] = [[], []]
  let size = ''
  try {
    for (let i = -3; i < rounds; i++) {
      const small = await timed(async () => {
        const made = await preview.frame(0, moved(shot, i))
        size = `${made?.width}x${made?.height}`
      })
      const large = await timed(async () => whole(moved(shot, i)))
      if (i < 0) continue
      ours.push(small.wall)
      other.push(large.wall)
    }
  } finally {
    await preview.close()
  }
  const [a, b] = [middleOf(ours), middleOf(other)]
  return {
    ...{ name: `preview-${size}`, size, ours_ms: round(a), other: 'full-size-frame' },
    ...{ other_ms: round(b), ratio: round(b / a) },
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
