/**
 * Finished parts of a movie on disk: the packets of some frames as the encoder gave them, and the caller's note of each
 * frame. A part stands under its name only when it is whole.
 *
 *   packets' bytes one after another | index, JSON in UTF-8 | bytes of the index, 32 bit little-endian | `PART`
 */
import { type FileHandle, open, rm } from 'node:fs/promises'
import { FormatContext, Packet } from 'node-av/lib'
import { must } from './failure.js'
import type { WorkFolder } from './workFolder.js'

const MARK = Buffer.from('PART')

interface Index {
  /** Presentation and decoding time and duration in frames, flags of the codec library, bytes. */
  readonly packets: [pts: number, dts: number, duration: number, flags: number, size: number][]
  readonly notes: unknown[]
}

const nameOf = (number: number) => `${String(number).padStart(5, '0')}.part`

/**
 * Gathers one part. Calls must wait for one another. The library itself writes the packets: a look at their bytes would count as so
 * much more memory in use, and set off a collection every few frames.
 */
export class PartWriter {
  readonly #work: WorkFolder
  readonly #name: string
  readonly number: number
  readonly #raw: FormatContext
  readonly #index: Index = { packets: [], notes: [] }

  private constructor(work: WorkFolder, number: number, raw: FormatContext) {
    this.#work = work
    this.#name = nameOf(number)
    this.number = number
    this.#raw = raw
  }

  static async begin(work: WorkFolder, number: number): Promise<PartWriter> {
    const raw = new FormatContext()
    const part = new PartWriter(work, number, raw)
    try {
      must(raw.allocOutputContext2(null, 'data', work.file(part.#temporary)), 'Beginning a part')
      raw.newStream()
      must(await raw.openOutput(), 'Opening a part')
      must(await raw.writeHeader(), 'Beginning a part')
      return part
    } catch (error) {
      await part.abandon()
      throw error
    }
  }

  get frames(): number {
    return this.#index.packets.length
  }

  /** Takes a packet timed in frames. Frees it. */
  async add(packet: Packet, note: unknown): Promise<void> {
    try {
      const { pts, dts, duration, flags, size } = packet
      packet.streamIndex = 0
      must(await this.#raw.writeFrame(packet), 'Writing a part')
      this.#index.packets.push([Number(pts), Number(dts), Number(duration), flags, size])
      this.#index.notes.push(note ?? null)
    } finally {
      packet.free()
    }
  }

  async commit(): Promise<void> {
    const index = Buffer.from(JSON.stringify(this.#index))
    const length = Buffer.alloc(4)
    length.writeUInt32LE(index.length)
    try {
      must(await this.#raw.writeTrailer(), 'Writing a part')
    } finally {
      await this.#close()
    }
    const file = await open(this.#work.file(this.#temporary), 'a')
    try {
      await file.appendFile(Buffer.concat([index, length, MARK]))
      await file.sync()
    } finally {
      await file.close()
    }
    await this.#work.commit(this.#temporary, this.#name)
  }

  async abandon(): Promise<void> {
    await this.#close()
    await rm(this.#work.file(this.#temporary), { force: true })
  }

  get #temporary(): string {
    return `${this.#name}.tmp`
  }

  async #close(): Promise<void> {
    await this.#raw.closeOutput()
    this.#raw.freeContext()
  }
}

/**
 * Notes of the frames in whole parts of `size` frames each, from the first on. A shorter part counts only as the last one of
 * `total` frames. Everything else in the folder is removed.
 */
export async function keptParts(
  work: WorkFolder,
  size: number,
  total: number | undefined,
): Promise<unknown[]> {
  const notes: unknown[] = []
  const names = new Set<string>()
  for (let number = 0; ; number++) {
    const index = await withPart(work.file(nameOf(number)), indexOf).catch(() => undefined)
    const frames = index?.notes.length ?? 0
    if (index === undefined || frames === 0 || frames > size) break
    if (frames < size && notes.length + frames !== total) break
    notes.push(...index.notes)
    names.add(nameOf(number))
    if (frames < size) break
  }
  await work.sweep(names)
  return notes
}

/** The packets of a part in order; the caller frees them. One at a time is in memory. */
export async function* packetsOf(
  work: WorkFolder,
  number: number,
  signal: AbortSignal,
): AsyncGenerator<Packet, void, undefined> {
  const file = await open(work.file(nameOf(number)), 'r')
  try {
    const { packets } = await indexOf(file)
    const room = Buffer.alloc(Math.max(...packets.map((p) => p[4])))
    let at = 0
    for (const [pts, dts, duration, flags, size] of packets) {
      signal.throwIfAborted()
      const packet = new Packet()
      packet.alloc()
      // The library copies it.
      packet.data = await fill(room.subarray(0, size), file, at)
      packet.pts = BigInt(pts)
      packet.dts = BigInt(dts)
      packet.duration = BigInt(duration)
      packet.flags = flags as typeof packet.flags
      at += size
      yield packet
    }
  } finally {
    await file.close()
  }
}

async function withPart<T>(path: string, work: (file: FileHandle) => Promise<T>): Promise<T> {
  const file = await open(path, 'r')
  try {
    return await work(file)
  } finally {
    await file.close()
  }
}

async function indexOf(file: FileHandle): Promise<Index> {
  const { size } = await file.stat()
  const tail = await bytesAt(file, size - 8, 8)
  const length = tail.readUInt32LE(0)
  const index = JSON.parse((await bytesAt(file, size - 8 - length, length)).toString()) as Index
  const whole = index.packets.reduce((sum, p) => sum + p[4], length + 8)
  if (!tail.subarray(4).equals(MARK) || whole !== size || index.notes.length !== index.packets.length)
    throw new Error('a part is not whole')
  return index
}

function bytesAt(file: FileHandle, at: number, length: number): Promise<Buffer> {
  return fill(Buffer.alloc(length), file, at)
}

async function fill(bytes: Buffer, file: FileHandle, at: number): Promise<Buffer> {
  for (let done = 0; done < bytes.length; ) {
    const { bytesRead } = await file.read(bytes, done, bytes.length - done, at + done)
    if (bytesRead === 0) throw new Error('a part is shorter than its index says')
    done += bytesRead
  }
  return bytes
}
