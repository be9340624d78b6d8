/** Keyed frames, each looked at beside those before and after it, side by side and in their order. */
import type { NativeFrame } from '../../core/index.js'
import { DEPTH } from '../memory.js'
import { OwnMotions } from '../ownMotion.js'
import type { KeyPool, OneKeyed } from './keyed.js'

export interface OneSteadied extends OneKeyed {
  /** As `MovingMade`. */
  readonly shutter?: number
}

interface Waiting {
  readonly one: OneKeyed
  readonly done: Promise<{ readonly frame?: NativeFrame; readonly shutter?: number }>
}

/** @param from frames before it are only looked at, as is what comes after `to` */
export async function* besideEachOther(
  keyed: AsyncIterable<OneKeyed>,
  pool: KeyPool,
  threads: number,
  from: number,
  to: number,
): AsyncGenerator<OneSteadied> {
  const near = new Map<number, OneKeyed>()
  const motions = new OwnMotions(async (n) => near.get(n)?.frame, 'premultiplied')
  const waiting: Waiting[] = []
  const finished = async (): Promise<OneSteadied> => {
    const { one, done } = waiting.shift() as Waiting
    const { frame, shutter } = await done
    return { ...one, frame: frame as NativeFrame, ...(shutter !== undefined && { shutter }) }
  }
  const begin = async (number: number) => {
    const one = near.get(number) as OneKeyed
    const [before, after] = [near.get(number - 1)?.frame, near.get(number + 1)?.frame]
    const motion = await motions.at(number)
    const { done } = await pool.submit({
      own: one.frame,
      mattes: one.mattes,
      ...(before && { before }),
      ...(after && { after }),
      ...(motion && { motion }),
    })
    done.catch(() => {})
    waiting.push({ one, done })
    near.delete(number - 1)
  }
  for await (const one of keyed) {
    near.set(one.number, one)
    const middle = one.number - 1
    if (middle >= from && near.has(middle)) await begin(middle)
    if (waiting.length >= DEPTH * threads) yield await finished()
  }
  // The file's last frame has none after it.
  if (near.has(to) && !near.has(to + 1)) await begin(to)
  while (waiting.length > 0) yield await finished()
}
