/** The codec library's own frames of a clip, decoded with all the threads it likes and a few frames ahead. */
import type { Frame } from 'node-av/lib'
import { openContainer } from '../../../src/media/read/container.js'
import { decodeAll, openDecoder, packetsOf } from '../../../src/media/read/decoder.js'

/** Frames that wait: enough that no thread of the other side ever does. */
const AHEAD = 4

/** Every frame, in order; whoever takes one frees it. */
export async function* framesOf(path: string): AsyncGenerator<Frame, void, undefined> {
  const { format, stream } = await openContainer(path)
  const { context } = await openDecoder(stream, path)
  try {
    const packets = packetsOf((p) => format.readFrame(p), stream.index)
    for await (const frame of decodeAll(context, packets)) {
      const kept = frame.clone()
      if (kept === null) throw new Error('no memory for a reference to a frame')
      yield kept
    }
  } finally {
    context.freeContext()
    await format.closeInput()
  }
}

/** The same items, made before they are asked for. */
export async function* ahead<T>(
  items: AsyncGenerator<T, void, undefined>,
): AsyncGenerator<T, void, undefined> {
  const waiting: Promise<IteratorResult<T, void>>[] = []
  for (;;) {
    while (waiting.length < AHEAD) waiting.push(items.next())
    const next = await (waiting.shift() as Promise<IteratorResult<T, void>>)
    if (next.done === true) return
    yield next.value
  }
}
