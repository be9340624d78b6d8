import { Problem } from '../../core/index.js'
import { type CacheOptions, cacheHeld, clearCache } from '../../engine/cache/index.js'
import type { Outcome } from '../outcome.js'

/**
 * Says what the cache holds, or removes it.
 *
 * @throws Problem `cache.not-cleared`, exit 3, when something would not go
 */
export async function cache(options: CacheOptions, clear: boolean): Promise<Outcome> {
  if (!clear) {
    const held = await cacheHeld(options)
    return {
      text: `${held.folder}: ${megabytes(held.bytes)} of ${megabytes(held.limit)} in ${held.entries} files`,
      json: held,
    }
  }
  const { folder, removed, left } = await clearCache(options)
  if (left.entries > 0 && removed.entries === 0)
    throw new Problem({
      code: 'cache.not-cleared',
      what: 'Nothing of the cache could be removed',
      where: folder,
      received: `${left.entries} files, ${megabytes(left.bytes)}`,
      remedy: 'Look whether you may write there, and whether the disk is mounted for reading only.',
      exit: 3,
    })
  return {
    text: `${folder}: removed ${megabytes(removed.bytes)} in ${removed.entries} files`,
    json: { folder, removed, left },
  }
}

function megabytes(bytes: number): string {
  return `${(bytes / 2 ** 20).toFixed(1)} MiB`
}
