/**
 * One entry of the cache: a file of a head and the bytes that were kept. What does not agree with its head was damaged (a power cut
 * before the disk had it all, a bad block) and counts as not there.
 *
 *   0   8   `platefit`
 *   8   4   format of the entry
 *   12  4   CRC-32 of the bytes kept (that of gzip: a fifth of the time of SHA-256, and nobody forges one here)
 *   16  8   how many they are
 *   24  32  the key
 *   56  8   nothing, so that samples of any kind lie aligned behind it
 *
 * Numbers little-endian. Source: [rfc1952 §8] for the checksum.
 */
import { type FileHandle, open } from 'node:fs/promises'
import { crc32 } from 'node:zlib'

/** Goes up with every change of this file's layout, or of what stands behind the head. */
export const ENTRY_FORMAT = 1
const HEAD = 64
const MAGIC = Buffer.from('platefit', 'latin1')
/** Largest file that is read back; no frame comes near it. */
const MOST = 2 ** 31

/** Bytes of the file for so many kept. */
export function entryBytes(parts: readonly Uint8Array[]): number {
  return HEAD + parts.reduce((sum, p) => sum + p.byteLength, 0)
}

/** @param key 64 hexadecimal digits */
export function headOf(key: string, parts: readonly Uint8Array[]): Buffer {
  const head = Buffer.alloc(HEAD)
  MAGIC.copy(head)
  head.writeUInt32LE(ENTRY_FORMAT, 8)
  head.writeUInt32LE(
    parts.reduce((sum, p) => crc32(p, sum), 0),
    12,
  )
  head.writeBigUInt64LE(BigInt(entryBytes(parts) - HEAD), 16)
  head.write(key, 24, 'hex')
  return head
}

/**
 * The bytes kept, 8-byte aligned in an array of their own, and marks them as used now.
 *
 * @returns nothing when there is no such file; `damaged` when it is not what its head says
 */
export async function readEntry(path: string, key: string): Promise<Uint8Array | 'damaged' | undefined> {
  let file: FileHandle
  try {
    file = await open(path, 'r')
  } catch {
    return undefined
  }
  try {
    const { size } = await file.stat()
    if (size < HEAD || size > MOST) return 'damaged'
    const all = new Uint8Array(size)
    if ((await fill(file, all)) !== size) return 'damaged'
    const bytes = all.subarray(HEAD)
    if (!headOf(key, [bytes]).equals(all.subarray(0, HEAD))) return 'damaged'
    const now = new Date()
    await file.utimes(now, now).catch(() => {})
    return bytes
  } catch {
    return 'damaged'
  } finally {
    await file.close().catch(() => {})
  }
}

async function fill(file: FileHandle, into: Uint8Array): Promise<number> {
  let at = 0
  while (at < into.length) {
    const { bytesRead } = await file.read(into, at, into.length - at, at)
    if (bytesRead === 0) break
    at += bytesRead
  }
  return at
}
