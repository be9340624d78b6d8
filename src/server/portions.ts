/** A stream in portions: a line, then so many bytes, again and again. Nothing holds more of it than a chunk. */
import type { Readable } from 'node:stream'
import { Problem } from '../core/index.js'

export class Portions {
  readonly #chunks: AsyncIterator<Buffer>
  #rest: Buffer = Buffer.alloc(0)

  constructor(body: Readable) {
    this.#chunks = body.iterator({ destroyOnReturn: false })
  }

  /** Up to the next line feed, without it. @throws Problem `server.bad-request` when it is longer than `most` bytes */
  async line(most: number): Promise<string> {
    const parts: Buffer[] = []
    for (let length = 0; ; ) {
      const chunk = await this.#next()
      const end = chunk.indexOf(10)
      const part = end < 0 ? chunk : chunk.subarray(0, end)
      parts.push(part)
      length += part.length
      if (length > most) throw new Problem({ code: 'server.bad-request', what: 'The first line is too long' })
      if (end < 0) continue
      this.#rest = chunk.subarray(end + 1)
      return Buffer.concat(parts).toString('utf8')
    }
  }

  /** @throws Error when the stream ends before */
  async *take(bytes: number): AsyncGenerator<Buffer> {
    for (let left = bytes; left > 0; ) {
      const chunk = await this.#next()
      yield chunk.subarray(0, left)
      this.#rest = chunk.subarray(left)
      left -= Math.min(left, chunk.length)
    }
  }

  async #next(): Promise<Buffer> {
    const rest = this.#rest
    this.#rest = rest.subarray(rest.length)
    if (rest.length > 0) return rest
    const { done, value } = await this.#chunks.next()
    if (done === true) throw new Error('it ended before all bytes were there')
    return value
  }
}
