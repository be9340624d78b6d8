/**
 * What a source holds, told without reading all of it: an id that stays when the file is renamed or moved, and changes when
 * what is in it does. A hash (SHA-256) over
 *
 *   the size of each of its files in order, and
 *   up to 16 MiB in all:  every byte
 *   above that:           each file's time of change (mtime, nanoseconds), and 64 blocks of 64 KiB spread evenly over the bytes of
 *                         all the files one after another, first and last included
 *
 * To hash tens of gigabytes would take longer than the work that is saved. What can be missed: a large file changed in
 * place, to the same size, outside the blocks, whose time was then set back. Programs that write set the time forward, and
 * those that set it back (copies, archives) carry the bytes along with it. The other way about, a large file copied without its
 * time counts as another one: its frames are decoded once more, and nothing is wrong.
 *
 * The id itself is remembered by device, inode, size, mtime and ctime of each file, so that the next run need not even read that
 * much; not so for a file that was changed in the last two seconds, for a clock's tick may hide a second change.
 */
import { createHash } from 'node:crypto'
import { type FileHandle, open, stat } from 'node:fs/promises'
import { deserialize, serialize } from 'node:v8'
import { type Content, filesOf } from '../../media/index.js'
import { keyOf } from './key.js'
import type { Cache } from './store.js'

const WHOLE = 16 * 2 ** 20
const BLOCK = 64 * 2 ** 10
const BLOCKS = 64
/** The coarsest tick of the file systems in use (FAT: two seconds). */
const TICK_MS = 2000

interface Stamp {
  readonly path: string
  readonly bytes: number
  readonly changed: bigint
  /** All that tells this state of this file from others. */
  readonly text: string
}

/** @param cache where the id itself is remembered @returns nothing where it cannot be told: whoever opens the file will say why */
export async function contentOf(path: string, still: boolean, cache?: Cache): Promise<Content | undefined> {
  try {
    const files = await filesOf(path, still)
    const before = await Promise.all(files.map(stampOf))
    const id = cache === undefined ? await hashOf(before) : await remembered(before, cache)
    return {
      id,
      unchanged: (frame) =>
        unchanged(files.length > 1 && frame !== undefined ? before.slice(frame, frame + 1) : before),
    }
  } catch {
    return undefined
  }
}

/**
 * The same look at what a source holds, but for the times: alike on every disk that the files are copied to, for what is kept beside
 * a document and goes along with it. What is missed beside the above: a large file changed in place, to the same size, outside the
 * blocks.
 *
 * @returns SHA-256 @throws the system's error where a file cannot be read
 */
export async function sampleOf(path: string, still: boolean): Promise<string> {
  const stamps = await Promise.all((await filesOf(path, still)).map(stampOf))
  return hashOf(stamps.map((s) => ({ ...s, changed: 0n })))
}

async function stampOf(path: string): Promise<Stamp> {
  const s = await stat(path, { bigint: true })
  if (!s.isFile()) throw new Error('only files have a content')
  const text = [s.dev, s.ino, s.size, s.mtimeNs, s.ctimeNs].join(' ')
  return { path, bytes: Number(s.size), changed: s.mtimeNs, text }
}

async function unchanged(before: readonly Stamp[]): Promise<boolean> {
  return Promise.all(before.map((b) => stampOf(b.path))).then(
    (now) => now.every((n, i) => n.text === before[i]?.text),
    () => false,
  )
}

async function remembered(files: readonly Stamp[], cache: Cache): Promise<string> {
  const key = keyOf({ kind: 'content', files: files.map((f) => f.text) })
  const known = await cache.get(key)
  if (known !== undefined) return deserialize(known) as string
  const id = await hashOf(files)
  const settled = BigInt(Date.now() - TICK_MS) * 1_000_000n
  if (files.every((f) => f.changed < settled) && (await unchanged(files)))
    await cache.put(key, [serialize(id)])
  return id
}

async function hashOf(files: readonly Stamp[]): Promise<string> {
  const total = files.reduce((sum, f) => sum + f.bytes, 0)
  const whole = total <= WHOLE
  const hash = createHash('sha256')
  for (const { bytes, changed } of files) hash.update(`${bytes} ${whole ? '' : changed}\n`)
  for (const { path, from, count } of whole ? all(files) : spread(files, total)) {
    const file = await open(path, 'r')
    try {
      hash.update(await piece(file, from, count))
    } finally {
      await file.close()
    }
  }
  return hash.digest('hex')
}

interface Piece {
  readonly path: string
  readonly from: number
  readonly count: number
}

function all(files: readonly Stamp[]): Piece[] {
  return files.map(({ path, bytes }) => ({ path, from: 0, count: bytes }))
}

/** The blocks; one that would lie across two files ends with the first. */
function spread(files: readonly Stamp[], total: number): Piece[] {
  const pieces: Piece[] = []
  let i = 0
  let start = 0
  for (let b = 0; b < BLOCKS; b++) {
    const at = Math.floor((b * (total - BLOCK)) / (BLOCKS - 1))
    while (at >= start + (files[i] as Stamp).bytes) start += (files[i++] as Stamp).bytes
    const { path, bytes } = files[i] as Stamp
    pieces.push({ path, from: at - start, count: Math.min(BLOCK, bytes - (at - start)) })
  }
  return pieces
}

/** @throws Error where the file has become shorter: then it changed under us */
async function piece(file: FileHandle, from: number, count: number): Promise<Uint8Array> {
  const bytes = new Uint8Array(count)
  let at = 0
  while (at < count) {
    const { bytesRead } = await file.read(bytes, at, count - at, from + at)
    if (bytesRead === 0) throw new Error('the file became shorter')
    at += bytesRead
  }
  return bytes
}
