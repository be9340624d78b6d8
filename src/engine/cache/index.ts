/** What was decoded or measured once, kept on disk for the next time. */
import { cacheFolder, usualLimit } from './place.js'
import { clear, held } from './room.js'
import { Cache } from './store.js'

export type { Cache } from './store.js'

export interface CacheOptions {
  /** Default: PLATEFIT_CACHE, else the system's place for such files (`place.ts`). */
  readonly folder?: string
  /** That it may hold. Default: 4 GiB or a tenth of what is free on its disk, the lesser. */
  readonly bytes?: number
}

/** Nothing is read or written before it is used. Await its `settle` after the work. */
export function openCache({ folder, bytes }: CacheOptions = {}): Cache {
  return new Cache(cacheFolder(folder), bytes)
}

export interface CacheHeld {
  /** Absolute. */
  readonly folder: string
  readonly entries: number
  readonly bytes: number
  /** Bytes that it may hold. */
  readonly limit: number
}

/** What a cache holds. */
export async function cacheHeld({ folder, bytes }: CacheOptions = {}): Promise<CacheHeld> {
  const at = cacheFolder(folder)
  const now = await held(at)
  return { folder: at, ...now, limit: bytes ?? (await usualLimit(at, now.bytes)) }
}

/** Removes all that a cache holds, and nothing that is not its own. @returns what was removed; `left` is what would not go */
export async function clearCache({ folder }: CacheOptions = {}): Promise<CacheCleared> {
  const at = cacheFolder(folder)
  const removed = await clear(at)
  return { folder: at, removed, left: await held(at) }
}

export interface CacheCleared {
  readonly folder: string
  readonly removed: { readonly entries: number; readonly bytes: number }
  readonly left: { readonly entries: number; readonly bytes: number }
}
