/**
 * How much the cache holds, and making room. What was used longest ago goes first. Several processes may do this at once without
 * a lock: each removes the oldest of what it saw, a file that is gone already counts as removed, and whoever reads an entry
 * has it open (or finds nothing, and makes it anew).
 */
import { readdir, rm, stat, unlink } from 'node:fs/promises'
import { join } from 'node:path'

/** Drafts of a process that was killed are older than that. */
const LEFT_MS = 60 * 60 * 1000
/** After making room so much of the limit is in use, so that it is not done again at once. */
const AFTER = 7 / 8

const SHELF = /^[0-9a-f]{2}$/
const NAME = /^[0-9a-f]{62}$/
const DRAFT = /^[0-9a-f]+\.partial$/

/** File of a key: two digits a folder, so that none grows long. */
export function entryPath(folder: string, key: string): string {
  return join(folder, 'entries', key.slice(0, 2), key.slice(2))
}

export function draftFolder(folder: string): string {
  return join(folder, 'drafts')
}

interface Kept {
  readonly path: string
  readonly bytes: number
  readonly used: number
}

/** Every entry. Nothing else in the folder is looked at. */
async function entries(folder: string): Promise<Kept[]> {
  const root = join(folder, 'entries')
  const shelves = (await names(root)).filter((n) => SHELF.test(n))
  const all: Kept[] = []
  for (const shelf of shelves) {
    const files = (await names(join(root, shelf))).filter((n) => NAME.test(n))
    const kept = await Promise.all(files.map((n) => look(join(root, shelf, n))))
    for (const k of kept) if (k !== undefined) all.push(k)
  }
  return all
}

async function names(folder: string): Promise<string[]> {
  return readdir(folder).catch(() => [])
}

async function look(path: string): Promise<Kept | undefined> {
  const found = await stat(path).catch(() => undefined)
  return found === undefined ? undefined : { path, bytes: found.size, used: found.mtimeMs }
}

/** Number of entries and bytes of them all. */
export async function held(folder: string): Promise<{ entries: number; bytes: number }> {
  const all = await entries(folder)
  return { entries: all.length, bytes: bytesOf(all) }
}

function bytesOf(all: readonly Kept[]): number {
  return all.reduce((sum, k) => sum + k.bytes, 0)
}

/**
 * Brings the cache under its limit where it is above, and takes away what killed processes left.
 *
 * @param limit from the bytes that are held
 * @returns bytes held after it, and the limit
 */
export async function makeRoom(
  folder: string,
  limit: (held: number) => Promise<number>,
): Promise<{ bytes: number; limit: number }> {
  await sweep(folder, Date.now() - LEFT_MS)
  const all = await entries(folder)
  let bytes = bytesOf(all)
  const most = await limit(bytes)
  if (bytes <= most) return { bytes, limit: most }
  for (const k of all.sort((a, b) => a.used - b.used)) {
    if (bytes <= AFTER * most) break
    if (await gone(k.path)) bytes -= k.bytes
  }
  return { bytes, limit: most }
}

/** Removes every entry and draft, and nothing else. @returns what was removed */
export async function clear(folder: string): Promise<{ entries: number; bytes: number }> {
  await sweep(folder, Number.POSITIVE_INFINITY)
  const removed: Kept[] = []
  for (const k of await entries(folder)) if (await gone(k.path)) removed.push(k)
  return { entries: removed.length, bytes: bytesOf(removed) }
}

async function sweep(folder: string, before: number): Promise<void> {
  for (const name of await names(draftFolder(folder))) {
    const draft = DRAFT.test(name) ? await look(join(draftFolder(folder), name)) : undefined
    if (draft !== undefined && draft.used < before) await rm(draft.path, { force: true }).catch(() => {})
  }
}

/** Removed, by us or by another; a system that lets nobody remove an open file keeps it until the next time. */
async function gone(path: string): Promise<boolean> {
  return unlink(path).then(
    () => true,
    (e: NodeJS.ErrnoException) => e.code === 'ENOENT',
  )
}
