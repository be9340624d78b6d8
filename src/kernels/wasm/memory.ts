/**
 * The memory of the pixel kernels: one WebAssembly memory a thread, which only grows.
 *
 * Tables stay for the life of the thread. All else lives in blocks that are taken one behind the other and given back
 * together: scratch at the end of a call, the pictures of a frame at its end. Memory that was touched once is not paid
 * for again: the first pass over fresh pages costs more than the work on them.
 *
 * It is a shared memory, because growth leaves older views of a shared one alive.
 */

const PAGE = 65536
/** 4 GiB, the most that 32-bit addresses reach. */
const MOST_PAGES = 65536
/** Blocks are taken from the system in pieces of at least this much. */
const PIECE = 16 * 2 ** 20
/** A SIMD word. */
const ALIGN = 16

export const memory = new WebAssembly.Memory({ initial: 1, maximum: MOST_PAGES, shared: true })

/** The memory as it was before and after each growth: views of either are views of it. */
const buffers = new WeakSet<ArrayBufferLike>([memory.buffer])

/** Kernels work on four pixels or samples at a time, and may read or write this much beyond a block's end. */
const SLACK = 64

/** First byte that nobody has; 0 stays free, so that no address is 0. */
let top = PAGE

function claim(bytes: number): number {
  const start = top
  top += Math.ceil(bytes / PAGE) * PAGE
  const missing = top / PAGE - memory.buffer.byteLength / PAGE
  if (missing > 0) {
    memory.grow(missing)
    buffers.add(memory.buffer)
  }
  return start
}

interface Piece {
  readonly start: number
  readonly size: number
}

/** Blocks one behind the other. */
class Stack {
  readonly #pieces: Piece[] = []
  #piece = 0
  #used = 0

  take(bytes: number): number {
    const size = Math.ceil((bytes + SLACK) / ALIGN) * ALIGN
    for (; this.#piece < this.#pieces.length; this.#piece++, this.#used = 0) {
      const piece = this.#pieces[this.#piece] as Piece
      if (this.#used + size > piece.size) continue
      this.#used += size
      return piece.start + this.#used - size
    }
    const whole = Math.ceil(Math.max(size, PIECE) / PAGE) * PAGE
    this.#pieces.push({ start: claim(whole), size: whole })
    this.#used = size
    return (this.#pieces[this.#piece] as Piece).start
  }

  /** Everything that `work` takes is given back at its end. */
  during<T>(work: () => T): T {
    const piece = this.#piece
    const used = this.#used
    try {
      return work()
    } finally {
      this.#piece = piece
      this.#used = used
    }
  }
}

const tables = new Stack()
const blocks = new Stack()
let frameIsOpen = false

/** Bytes for the life of the thread; their address. */
export function keepBytes(bytes: number): number {
  return tables.take(bytes)
}

/** Bytes until the innermost `duringScratch` or `duringFrame` ends; their address. */
export function takeBytes(bytes: number): number {
  return blocks.take(bytes)
}

/**
 * The same for what is copied from or to byte `offset` of another memory. Scripts copy through a shared memory eight bytes at a
 * time where both lie alike to a multiple of eight, else one at a time.
 */
export function takeLike(offset: number, bytes: number): number {
  return takeBytes(bytes + 8) + (offset & 7)
}

/** Blocks taken in `work` are given back at its end. */
export function duringScratch<T>(work: () => T): T {
  return blocks.during(work)
}

/**
 * Pictures made in `work` (`newImage`, `copyImage` and all kernels that give one) live in the kernels' memory and are
 * gone at its end: nothing of them may leave it. Not for work that waits: another frame would be made in between.
 */
export function duringFrame<T>(work: () => T): T {
  if (frameIsOpen) return work()
  frameIsOpen = true
  try {
    return blocks.during(work)
  } finally {
    frameIsOpen = false
  }
}

/** `length` numbers, not cleared: in the kernels' memory while a frame is made, an array of their own otherwise. */
export function newFloats(length: number): Float32Array {
  if (!frameIsOpen) return new Float32Array(length)
  const start = takeBytes(4 * length)
  return new Float32Array(memory.buffer, start, length) as unknown as Float32Array
}

/** Address of data that lives in the kernels' memory already. */
export function addressOf(data: ArrayBufferView): number | undefined {
  return buffers.has(data.buffer) ? data.byteOffset : undefined
}

/** Numbers carried into scratch memory; their address. */
export function words(data: Uint8Array | Uint16Array | Int32Array | Float32Array): number {
  const start = takeLike(data.byteOffset, data.byteLength)
  const bytes = new Uint8Array(data.buffer, data.byteOffset, data.byteLength)
  new Uint8Array(memory.buffer, start, data.byteLength).set(bytes)
  return start
}
