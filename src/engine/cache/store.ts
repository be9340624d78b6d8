/**
 * Blobs of bytes on disk by key: what was decoded or measured once. Any number of processes may use one folder at once:
 *
 *   reading   takes no lock; a damaged entry counts as missing and is removed
 *   writing   into a draft, which takes its final name in one step
 *   room      see `room.ts`: looked after before the process has written half of what is free, and when it ends
 *
 * What cannot be written (a full disk, no right to) turns writing off for the rest of the process, with one finding; nothing
 * that goes wrong here stops the work.
 */
import { randomBytes } from 'node:crypto'
import { mkdir, open, rename, unlink, writeFile } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { Problem } from '../../core/index.js'
import { entryBytes, headOf, readEntry } from './entry.js'
import { usualLimit } from './place.js'
import { draftFolder, entryPath, makeRoom } from './room.js'

/** Programs that copy or search disks leave a folder with this file alone. Source: [cachedirtag2004]. */
const TAG = `Signature: 8a477f597d28d172789f06886806bc55
# This file marks the folder as a cache, made by platefit. All in it can be made again.
`
/** No entry may take more of the limit. */
const LARGEST = 1 / 4
/** Written in so many parts of the limit at least before room is made again. */
const STEPS = 16

export class Cache {
  /** Absolute. */
  readonly folder: string
  readonly #asked: number | undefined
  #limit = Number.POSITIVE_INFINITY
  /** Bytes written since room was last looked after, and how many of them are allowed. */
  #written = 0
  #allowed = 0
  #ready = false
  #writing: Promise<void> = Promise.resolve()
  #finding: Problem | undefined

  /** @param bytes that it may hold; the usual ones of `place.ts` when absent */
  constructor(folder: string, bytes?: number) {
    this.folder = folder
    this.#asked = bytes
  }

  /** Why nothing more is kept, where that is so. */
  get finding(): Problem | undefined {
    return this.#finding
  }

  /** The bytes kept under a key (64 hexadecimal digits), in an array of their own; nothing where there are none. */
  async get(key: string): Promise<Uint8Array | undefined> {
    const path = entryPath(this.folder, key)
    const bytes = await readEntry(path, key)
    if (bytes !== 'damaged') return bytes
    await unlink(path).catch(() => {})
    return undefined
  }

  /**
   * Keeps bytes under a key. Resolves when what was given before has been written: one write runs beside the work. `parts`
   * must not change before the next call has resolved.
   */
  put(key: string, parts: readonly Uint8Array[]): Promise<void> {
    const before = this.#writing
    this.#writing = before.then(() => this.#write(key, parts))
    return before
  }

  /** Ends what is being written, and leaves the cache under its limit. */
  async settle(): Promise<void> {
    await this.#writing
    if (this.#written > 0) await this.#makeRoom().catch(() => {})
  }

  async #write(key: string, parts: readonly Uint8Array[]): Promise<void> {
    if (this.#finding !== undefined) return
    const draft = join(draftFolder(this.folder), `${randomBytes(8).toString('hex')}.partial`)
    const path = entryPath(this.folder, key)
    try {
      await this.#prepare()
      const bytes = entryBytes(parts)
      if (bytes > LARGEST * this.#limit) return
      await written(draft, [headOf(key, parts), ...parts])
      await mkdir(dirname(path), { recursive: true, mode: 0o700 })
      await rename(draft, path)
      this.#written += bytes
      if (this.#written > this.#allowed) await this.#makeRoom()
    } catch (e) {
      await unlink(draft).catch(() => {})
      // The folder went away under us: somebody cleared it. The next one makes it anew.
      if (this.#ready && (e as NodeJS.ErrnoException).code === 'ENOENT') this.#ready = false
      else this.#finding = unwritable(this.folder, e)
    }
  }

  async #prepare(): Promise<void> {
    if (this.#ready) return
    await mkdir(draftFolder(this.folder), { recursive: true, mode: 0o700 })
    await writeFile(join(this.folder, 'CACHEDIR.TAG'), TAG, { flag: 'wx' }).catch(
      (e: NodeJS.ErrnoException) => {
        if (e.code !== 'EEXIST') throw e
      },
    )
    await this.#makeRoom()
    this.#ready = true
  }

  async #makeRoom(): Promise<void> {
    this.#written = 0
    const asked = this.#asked
    const now = await makeRoom(this.folder, (held) =>
      asked === undefined ? usualLimit(this.folder, held) : Promise.resolve(asked),
    )
    this.#limit = now.limit
    this.#allowed = Math.max((now.limit - now.bytes) / 2, now.limit / STEPS)
  }
}

async function written(path: string, parts: readonly Uint8Array[]): Promise<void> {
  const file = await open(path, 'wx', 0o600)
  try {
    for (const part of parts) {
      let at = 0
      while (at < part.byteLength) at += (await file.write(part, at)).bytesWritten
    }
  } finally {
    await file.close()
  }
}

function unwritable(folder: string, e: unknown): Problem {
  return new Problem({
    code: 'cache.unwritable',
    what: 'The cache cannot be written: nothing is kept for the next time',
    where: folder,
    received: e instanceof Error ? e.message : String(e),
    remedy: 'Make room or name another folder with --cache; --no-cache works without one and says nothing.',
  })
}
