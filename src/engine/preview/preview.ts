/**
 * Single frames of a shot at a working size, for looking while a document is changed: decoded frames stay in memory as small
 * linear pictures, and a frame is made in bands by several threads.
 *
 * It goes the render's way (`FrameMaker`) on pictures that are means over squares of pixels. What is thinner than a pixel of
 * the working size shows as its mean; grain has the variance and the width that such means leave of it, as the plate under it
 * has; a core is rebuilt and a floor taken off after the mean, where the render does both before.
 */
import { availableParallelism } from 'node:os'
import { type Readout, readout } from '../../colour/index.js'
import { Problem, type Rgb } from '../../core/index.js'
import type { Shot } from '../../shot/schema.js'
import { makePlan, shotRange } from '../plan.js'
import { Pool } from '../pool.js'
import type { Variant } from '../types.js'
import { plateSize, previewPlan } from './scale.js'
import { type Opened, Shots } from './shots.js'
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

/** How a frame is looked at. */
export interface Look {
  /** Another state of the same work, shown from now on; absent: as before. */
  readonly shot?: Shot
  /** `result` when absent. */
  readonly variant?: Variant
  /** Exposure for looking, in stops; 0 when absent. */
  readonly stops?: number
}

export interface Preview {
  /**
   * @returns undefined when a later call came before this one was done
   * @throws Problem `engine.no-such-frame`; as `openSource` where the other shot names other files
   */
  frame(number: number, look?: Look): Promise<PreviewFrame | undefined>
  /**
   * What stands at a point, of each variant: means over a pixel of the working size.
   *
   * @param x, y plate pixels; the nearest one of the picture where they lie outside
   * @throws Problem as `frame`
   */
  values(number: number, x: number, y: number, shot?: Shot): Promise<Readonly<Record<Variant, Readout>>>
  close(): Promise<void>
}

const VARIANTS: readonly Variant[] = ['null', 'plain', 'result']

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
  const pool = new Pool<Task, Done>('preview/worker.js', workers)
  const ask = async (task: Task) => (await pool.submit(task)).done
  const shots = new Shots(folder, new Store(memoryBytes), ask)
  try {
    await shots.change(shot)
  } catch (e) {
    await pool.close()
    throw e
  }
  let turn = 0
  let closed = false
  /** A state of the shot at the working size, seen as one variant. */
  const planOf = ({ shot: now, sources }: Opened, variant: Variant) => {
    const full = makePlan(now, sources, { format: 'exr-half', variant })
    const factor = Math.min(1, width / full.plate.width)
    const plan = previewPlan(full, factor)
    return { full, factor, plan, key: JSON.stringify(plan) }
  }
  const make = async (
    number: number,
    { shot: changed, variant = 'result', stops = 0 }: Look,
    gone: () => boolean,
  ): Promise<PreviewFrame | undefined> => {
    const now = await opened(number, changed)
    if (gone() || now === undefined) return undefined
    const { full, factor, plan, key } = planOf(now, variant)
    const found = await shots.input(now, number, factor, () => !gone())
    if (found === undefined || gone()) return undefined
    const shown = new Uint8Array(new SharedArrayBuffer(found.shown.length))
    shown.set(found.shown)
    const done: Promise<Done>[] = []
    const task = { kind: 'band', key, plan, plate: full.plate.encoding, stops } as const
    const bands = BANDS * workers
    for (let band = 0; band < bands; band++) {
      done.push((await pool.submit({ ...task, input: found.input, shown, band, bands })).done)
      if (gone()) break
    }
    await Promise.all(done)
    return gone() ? undefined : { number, ...plateSize(full.plate, factor), rgb: shown }
  }
  const opened = async (number: number, changed: Shot | undefined) => {
    const found = await shots.change(changed)
    if (found !== undefined) checkNumber(number, found.shot, found.sources.plate.info.frameCount)
    return found
  }
  return {
    async frame(number, look = {}) {
      const own = ++turn
      const gone = () => own !== turn
      try {
        return await make(number, look, gone)
      } catch (e) {
        // Closed meanwhile: nobody waits for it.
        if (closed && gone()) return undefined
        throw e
      }
    },
    async values(number, x, y, changed) {
      const now = await opened(number, changed)
      if (now === undefined) throw new Error('the preview is closed')
      const plans = VARIANTS.map((variant) => planOf(now, variant))
      const { full, factor } = plans[0] as (typeof plans)[number]
      const found = await shots.input(now, number, factor, () => true)
      if (found === undefined) throw new Error('the shot was changed while it was read')
      const size = plateSize(full.plate, factor)
      const within = (v: number, most: number) => Math.min(Math.max(Math.floor(v * factor), 0), most - 1)
      const lights = (await ask({
        kind: 'point',
        plans: plans.map(({ key, plan }) => ({ key, plan })),
        input: found.input,
        x: within(x, size.width),
        y: within(y, size.height),
      })) as readonly Rgb[]
      const { encoding, layout } = full.plate
      const read = VARIANTS.map((v, i) => [v, readout(lights[i] as Rgb, encoding, layout)] as const)
      return Object.fromEntries(read) as Record<Variant, Readout>
    },
    async close() {
      turn++
      closed = true
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
