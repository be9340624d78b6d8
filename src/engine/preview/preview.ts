/**
 * Single frames of a shot at a working size, for looking while a document is changed: decoded frames stay in memory as small
 * linear pictures, and a frame is made in bands by several threads.
 *
 * It goes the render's way (`FrameMaker`) on pictures that are means over squares of pixels. What is thinner than a pixel of
 * the working size shows as its mean; grain has the variance and the width that such means leave of it, as the plate under it
 * has; a core is rebuilt and a floor taken off after the mean, where the render does both before.
 */
import { availableParallelism } from 'node:os'
import { Problem } from '../../core/index.js'
import type { Shot } from '../../shot/schema.js'
import { makePlan, shotRange } from '../plan.js'
import { Pool } from '../pool.js'
import { plateSize, previewPlan } from './scale.js'
import { Shots } from './shots.js'
import { Store } from './store.js'
import type { Done, Task } from './task.js'

export interface PreviewOptions {
  /** Of the picture, in pixels; the plate's own width where that is less. */
  readonly width: number
  /** Threads. Default: the machine's cores, at most 8. */
  readonly workers?: number
  /** Memory for the pictures that are kept, in bytes; 256 MiB when absent. */
  readonly memoryBytes?: number
}

export interface PreviewFrame {
  /** Of the shot, 0-based. */
  readonly number: number
  readonly width: number
  readonly height: number
  /** As the report shows it: sRGB, three bytes a pixel, row by row. */
  readonly rgb: Uint8Array
}

export interface Preview {
  /**
   * One frame, as the document stands or as another `shot` of the same work says from now on.
   *
   * @returns undefined when a later call came before this one was done
   * @throws Problem `engine.no-such-frame`; as `openSource` where the other shot names other files
   */
  frame(number: number, shot?: Shot): Promise<PreviewFrame | undefined>
  close(): Promise<void>
}

/** Bands a thread: they take turns, as an element seldom fills its picture evenly. */
const BANDS = 3

/**
 * Opens a shot's files for previews.
 *
 * @param folder what the document's relative paths are relative to
 * @throws Problem as `openSource`; `engine.no-width`
 */
export async function openPreview(shot: Shot, folder: string, options: PreviewOptions): Promise<Preview> {
  const { width, workers = Math.min(availableParallelism(), 8), memoryBytes = 256 * 2 ** 20 } = options
  if (!(width >= 1)) {
    throw new Problem({
      code: 'engine.no-width',
      what: 'A preview needs a width',
      expected: 'at least 1 px',
      received: String(width),
    })
  }
  const pool = new Pool<Task, Done>('preview/worker.js', undefined, workers)
  const ask = async (task: Task) => (await pool.submit(task)).done
  const shots = new Shots(folder, new Store(memoryBytes), ask)
  try {
    await shots.change(shot)
  } catch (e) {
    await pool.close()
    throw e
  }
  let turn = 0
  return {
    async frame(number, changed) {
      const own = ++turn
      const gone = () => own !== turn
      const opened = await shots.change(changed)
      if (gone() || opened === undefined) return undefined
      const { sources } = opened
      checkNumber(number, opened.shot, sources.plate.info.frameCount)
      const full = makePlan(opened.shot, sources, { format: 'exr-half' })
      const factor = Math.min(1, width / full.plate.width)
      const plan = previewPlan(full, factor)
      const found = await shots.input(opened, number, factor, () => !gone())
      if (found === undefined || gone()) return undefined
      const shown = new Uint8Array(new SharedArrayBuffer(found.shown.length))
      shown.set(found.shown)
      const key = JSON.stringify(plan)
      const done: Promise<Done>[] = []
      const task = { kind: 'band', key, plan, plate: full.plate.encoding, input: found.input, shown } as const
      const bands = BANDS * workers
      for (let band = 0; band < bands; band++) {
        const asked = await pool.submit({ ...task, band, bands })
        done.push(asked.done)
        asked.done.catch(() => {})
        if (gone()) break
      }
      await Promise.all(done)
      return gone() ? undefined : { number, ...plateSize(full.plate, factor), rgb: shown }
    },
    async close() {
      turn++
      await pool.close()
      await shots.close()
    },
  }
}

function checkNumber(number: number, shot: Shot, plateFrames: number): void {
  const { count } = shotRange(shot, plateFrames)
  if (Number.isInteger(number) && number >= 0 && number < count) return
  throw new Problem({
    code: 'engine.no-such-frame',
    what: 'The frame asked for is not in the shot',
    where: shot.plate.file,
    expected: `0 to ${count - 1}`,
    received: String(number),
    remedy: 'Count frames from 0, at the first frame of the shot.',
  })
}
