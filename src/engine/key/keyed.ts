/** Frames keyed side by side, one after the other in their order. */
import type { Screen } from '../../chain/source/screen/model.js'
import type { NativeFrame } from '../../core/index.js'
import type { Source } from '../../media/index.js'
import { DEPTH } from '../memory.js'
import type { Pool } from '../pool.js'
import type { BackingsSeen, KeyInput, KeyMade } from './frame.js'
import type { Mattes, MattesAt } from './mattes.js'
import type { MovingInput, MovingMade } from './moving.js'

export interface OneKeyed {
  readonly number: number
  readonly frame: NativeFrame
  /** Of a frame that shows it. */
  readonly screen?: Screen
  readonly backings?: BackingsSeen
  readonly mattes: MattesAt | undefined
}

/** Threads take frames, and frames beside their neighbours. */
export type KeyPool = Pool<KeyInput | MovingInput, KeyMade & Partial<MovingMade>>

export interface KeyedAsk {
  readonly source: Source
  /** Before the second backing. */
  readonly other: Source | undefined
  readonly mattes: Mattes
  readonly pool: KeyPool
  readonly threads: number
  readonly signal: AbortSignal | undefined
  /** Frames of the file. */
  readonly first: number
  readonly count: number
  /** Seen on the last frame before the first one. */
  readonly before: Screen | undefined
  /** Whether a frame that shows none is keyed by what this one shows. */
  readonly lends: (number: number) => boolean
}

export async function* keyedFrames(asked: KeyedAsk): AsyncGenerator<OneKeyed> {
  const { source, other, mattes, pool, threads, signal, first, count, lends } = asked
  let last = asked.before
  const queue: { input: KeyInput; done: Promise<KeyMade> }[] = []
  const takeOne = async (): Promise<OneKeyed> => {
    signal?.throwIfAborted()
    const { input, done } = queue.shift() as (typeof queue)[number]
    let { screen, frame, backings } = await done
    if (frame === undefined) {
      const again = await pool.submit({ ...input, before: last ?? null })
      frame = (await again.done).frame as NativeFrame
    }
    if (screen !== undefined && lends(input.number)) last = screen
    return {
      ...{ number: input.number, frame, mattes: input.mattes },
      ...(screen && { screen }),
      ...(backings && { backings }),
    }
  }
  let number = first
  const others = other?.frames(first, count)
  try {
    for await (const native of source.frames(first, count)) {
      const pair = await others?.next()
      const more = { ...(pair?.value && { other: pair.value }), mattes: await mattes.at(number) }
      const input = { native, number: number++, ...more }
      const { done } = await pool.submit(input)
      done.catch(() => {})
      queue.push({ input, done })
      if (queue.length >= DEPTH * threads) yield await takeOne()
    }
    while (queue.length > 0) yield await takeOne()
  } finally {
    await others?.return()
  }
}
