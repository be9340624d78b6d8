/**
 * Boxes of the ISO base media format and of its elder, read without the library: only what says where the frames lie.
 *
 *   box = size (32 bits; 1: 64 bits follow the type; 0: to the end) + type (4 letters) + payload
 *
 * Source: [iso14496-12 §4.2].
 */
import { type FileHandle, open } from 'node:fs/promises'

/** More than this for an index is no movie of a shot. */
const LARGEST = 64 * 2 ** 20
/** A file begins with one of these, or it is another format. */
const FIRST = new Set(['ftyp', 'moov', 'mdat', 'free', 'skip', 'wide'])

export interface Box {
  readonly type: string
  readonly payload: Buffer
}

/**
 * The movie's index, when the file is of this format, whole, and not in fragments; else `undefined`, whatever the reason:
 * the library will say what is wrong with it.
 */
export async function movieIndex(path: string): Promise<Buffer | undefined> {
  const file = await open(path, 'r').catch(() => undefined)
  if (file === undefined) return undefined
  try {
    return await findIndex(file, (await file.stat()).size)
  } finally {
    await file.close()
  }
}

async function findIndex(file: FileHandle, length: number): Promise<Buffer | undefined> {
  const head = Buffer.alloc(16)
  let index: { at: number; size: number } | undefined
  for (let at = 0; at < length; ) {
    const { bytesRead } = await file.read(head, 0, 16, at)
    if (bytesRead < 8) return undefined
    const { type, header, size } = sizeOf(head, length - at, bytesRead)
    // A box beyond the file's end: it is cut short.
    if (size < header || at + size > length) return undefined
    if ((at === 0 && !FIRST.has(type)) || type === 'moof') return undefined
    if (type === 'moov') {
      if (index !== undefined) return undefined
      index = { at: at + header, size: size - header }
    }
    at += size
  }
  if (index === undefined || index.size > LARGEST) return undefined
  const bytes = Buffer.alloc(index.size)
  const { bytesRead } = await file.read(bytes, 0, index.size, index.at)
  return bytesRead === index.size ? bytes : undefined
}

function sizeOf(head: Buffer, rest: number, read: number): { type: string; header: number; size: number } {
  const short = head.readUInt32BE(0)
  const type = head.toString('latin1', 4, 8)
  if (short === 1 && read >= 16) return { type, header: 16, size: Number(head.readBigUInt64BE(8)) }
  return { type, header: 8, size: short === 0 ? rest : short }
}

/** Boxes one after another; ends where the bytes make no box. */
export function* boxes(bytes: Buffer): Generator<Box, void, undefined> {
  for (let at = 0; at + 8 <= bytes.length; ) {
    const { type, header, size } = sizeOf(bytes.subarray(at), bytes.length - at, bytes.length - at)
    if (size < header || at + size > bytes.length) return
    yield { type, payload: bytes.subarray(at + header, at + size) }
    at += size
  }
}

/** The first box of this path; `undefined` where there is none. */
export function boxAt(bytes: Buffer, ...path: readonly string[]): Buffer | undefined {
  let inside: Buffer | undefined = bytes
  for (const type of path) {
    if (inside === undefined) return undefined
    let found: Buffer | undefined
    for (const b of boxes(inside)) {
      if (b.type !== type) continue
      found = b.payload
      break
    }
    inside = found
  }
  return inside
}

/** Bytes of picture and sound in a file of this format that has no index; `undefined` of any other file. */
export async function indexless(path: string): Promise<number | undefined> {
  const file = await open(path, 'r').catch(() => undefined)
  if (file === undefined) return undefined
  try {
    const { size: length } = await file.stat()
    const head = Buffer.alloc(16)
    let data = 0
    for (let at = 0; at + 8 <= length; ) {
      const { bytesRead } = await file.read(head, 0, 16, at)
      const { type, header, size } = sizeOf(head, length - at, bytesRead)
      if ((at === 0 && !FIRST.has(type)) || type === 'moov' || type === 'moof') return undefined
      // A recorder that was cut off never came back to write how long its data are.
      const whole = size < header ? length - at : Math.min(size, length - at)
      if (type === 'mdat') data += whole - header
      at += whole
    }
    return data > 0 ? data : undefined
  } finally {
    await file.close()
  }
}
