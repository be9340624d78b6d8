/** Frames of a file keyed side by side and written in their order. */
import { createHash } from 'node:crypto'
import { availableParallelism } from 'node:os'
import { serialize } from 'node:v8'
import { LEAST_APART } from '../../chain/source/backings/apply.js'
import type { Areas } from '../../chain/source/screen/areas.js'
import type { Screen } from '../../chain/source/screen/model.js'
import { median, Problem } from '../../core/index.js'
import {
  codecVersions,
  createWriter,
  type DeliverySpec,
  deliveryEncoding,
  deliveryFindings,
  deliveryLayout,
  type Source,
  type SourceInfo,
  sourceIdentity,
} from '../../media/index.js'
import { DEPTH, threadsWithin } from '../memory.js'
import { Pool } from '../pool.js'
import { acknowledging, tracker } from '../progress.js'
import { stopped } from '../stopped.js'
import type { Job } from '../types.js'
import { engineVersion } from '../version.js'
import { besideEachOther } from './beside.js'
import type { KeyMade, KeyStart } from './frame.js'
import { type KeyPool, keyedFrames } from './keyed.js'
import type { Mattes } from './mattes.js'
import type { KeyedFile, KeyOptions } from './types.js'

const FORMAT = 'exr-half'
/** Bytes that a thread works in a pixel: light, the screen behind, the element around, at their peak. */
const WORK = 16 * 16
/** Share of a frame whose two backings may be alike, or others than those that were given: where a lamp or a clip hides them. */
const MOST_ALIKE = 0.1

const NO_EDGE = { out: 0, wider: 0 }

interface Made {
  /** Of a frame that shows it. */
  readonly screen?: Screen
  /** Share of a frame that shows its backings. */
  readonly bare?: number
  /** Part of a frame for which the shutter was open, as its streaks tell. */
  readonly shutter?: number
}

interface Known {
  readonly source: Source
  /** Before the second backing. */
  readonly other: Source | undefined
  readonly frames: KeyedFile['frames']
  readonly how: KeyStart['how']
  readonly mattes: Mattes
  readonly areas: Areas | undefined
}

/** @throws Problem `key.alike`, `key.other-grounds`; `engine.stopped` when cancelled; as `createWriter` */
export async function written(
  { source, other, frames, how, mattes, areas }: Known,
  { out, shutter, alone = false, edge = NO_EDGE, fresh = false }: KeyOptions,
  asked: Job,
): Promise<KeyedFile> {
  const { info } = source
  const layout = deliveryLayout(FORMAT, { alpha: true })
  const encoding = deliveryEncoding(FORMAT, info.encoding)
  const spec: DeliverySpec = {
    ...{ format: FORMAT, width: info.width, height: info.height, rate: info.rate, encoding, alpha: true },
    ...{ inputs: [info.path], pixelAspect: info.pixelAspect, firstNumber: info.firstNumber + frames.first },
  }
  const open = shutter === undefined ? undefined : shutter / 360
  // Two backings, or a matte that is given, tell each frame's own coverage: nothing of it is guessed.
  const beside = !alone && how.kind === 'screen'
  const start: KeyStart = {
    ...{ encoding: info.encoding, how, areas, shutter: open, beside, edge },
    out: { layout, encoding },
  }
  const key = await keyOf([info, ...(other ? [other.info] : []), ...mattes.files], start, frames)
  const writer = await createWriter(out, spec, { key, count: frames.count, fresh })
  const made = [...(writer.kept as readonly Made[])]
  const resumed = made.length
  const idle = { done: resumed, total: frames.count, framesPerSecond: 0, secondsLeft: 0 }
  const { job, end } = acknowledging(asked, { stage: 'key', ...idle })
  const threads = threadsWithin(WORK * info.width * info.height, job, availableParallelism())
  const pool: KeyPool = new Pool('key/worker.js', threads, DEPTH)
  const tick = tracker(job, 'key', frames.count, resumed)
  const last = frames.first + frames.count - 1
  const from = frames.first + resumed
  // Neighbours of the file are looked at whichever frames are asked for: the bytes of a frame are the same then.
  const first = beside ? Math.max(from - 1, 0) : from
  const final = beside ? Math.min(last + 1, info.frameCount - 1) : last
  const keyed = keyedFrames({
    ...{
      source,
      other,
      mattes,
      pool,
      threads,
      signal: job.signal,
      first,
      count: Math.max(final - first + 1, 0),
    },
    before: made.slice(0, Math.max(first - frames.first, 0)).findLast((m) => m.screen !== undefined)?.screen,
    lends: (number) => number >= frames.first && number <= last,
  })
  try {
    tick(resumed)
    pool.begin(start)
    const finished = beside ? besideEachOther(keyed, pool, threads, from, last) : keyed
    for await (const { number, frame, screen, backings, mattes: _, ...rest } of finished) {
      job.signal?.throwIfAborted()
      refuseBackings(number, backings)
      const one: Made = { ...(screen && { screen }), ...(backings && { bare: backings.bare }), ...rest }
      await writer.write(frame, one)
      made.push(one)
      tick(made.length)
    }
    await writer.finish(job.signal)
  } catch (error) {
    if (job.signal?.aborted !== true) {
      await writer.abort()
      throw error
    }
    throw stopped(await writer.keep(), frames.count)
  } finally {
    end()
    await keyed.return(undefined)
    await pool.close()
  }
  const colour = how.kind === 'screen' && 'r' in how.of ? how.of : undefined
  const without = made.flatMap((m, i) =>
    how.kind !== 'matte' && m.screen === undefined && !((m.bare ?? 0) > 0) ? [frames.first + i] : [],
  )
  const findings = [...deliveryFindings(FORMAT, info.encoding, out), ...writer.findings]
  const screen = colour && ([colour.r, colour.g, 1 - colour.r - colour.g] as const)
  const seen = made.flatMap((m) => m.shutter ?? [])
  const streaks = seen.length === 0 ? undefined : { shutter: 360 * median(seen), frames: seen.length }
  return { frames, ...(screen && { screen }), ...(streaks && { streaks }), without, resumed, findings }
}

/** @throws Problem `key.alike`, `key.other-grounds` */
function refuseBackings(number: number, seen: KeyMade['backings']): void {
  const fault = (share: number, words: { code: string; what: string; expected: string; which: string }) => {
    const { which, ...rest } = words
    const received = `${(100 * share).toFixed(0)} % of frame ${number} ${which}`
    const remedy = 'Give the ground that each file was made before; black and white tell most.'
    return new Problem({ ...rest, where: '--clean, --other-clean', received, remedy })
  }
  if (seen === undefined) return
  if (seen.alike > MOST_ALIKE)
    throw fault(seen.alike, {
      code: 'key.alike',
      what: 'The two grounds are too much alike to tell what covers them',
      expected: `light at least ${LEAST_APART} apart nearly everywhere`,
      which: 'where it is less',
    })
  if (seen.impossible > MOST_ALIKE)
    throw fault(seen.impossible, {
      code: 'key.other-grounds',
      what: 'The files were not made before these grounds',
      expected: 'two pictures that differ by no more than their grounds do',
      which: 'that would be covered by less than nothing, or by more than all',
    })
}

/** Everything that the bytes depend on. */
async function keyOf(
  files: readonly SourceInfo[],
  start: KeyStart,
  frames: KeyedFile['frames'],
): Promise<string> {
  const identities = []
  for (const { path, kind } of files) identities.push(await sourceIdentity(path, kind === 'still'))
  const hash = createHash('sha256')
  hash.update(JSON.stringify({ versions: [engineVersion(), codecVersions()], frames, identities }))
  // Pictures in it are many numbers: as they lie in memory.
  hash.update(serialize(start))
  return hash.digest('hex')
}
