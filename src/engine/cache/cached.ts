import { deserialize, serialize } from 'node:v8'
import type { Content } from '../../media/index.js'
import { keyOf } from './key.js'
import type { Cache } from './store.js'

/** All that a measured thing depends on. */
export interface Key {
  /** `grain`: what it is. Things of one kind have one shape. */
  readonly kind: string
  /** The files that it was read from. With one whose content is not known nothing is kept. */
  readonly of: readonly (Content | undefined)[]
  /** Everything else, as plain data. */
  readonly how: unknown
}

/**
 * What `make` gives, or what it gave before for the same key: the same to the last bit.
 *
 * @param cache none: always made anew
 * @param make gives plain data (what structured clone carries over unchanged); of files that change meanwhile nothing is kept
 * @throws whatever `make` throws
 */
export async function cached<T>(cache: Cache | undefined, key: Key, make: () => T | Promise<T>): Promise<T> {
  const contents = key.of.filter((c) => c !== undefined)
  if (cache === undefined || contents.length < key.of.length) return make()
  const name = keyOf({ kind: key.kind, of: contents.map((c) => c.id), how: key.how })
  const kept = await cache.get(name)
  if (kept !== undefined) return deserialize(kept) as T
  const made = await make()
  const unchanged = await Promise.all(contents.map((c) => c.unchanged()))
  if (unchanged.every(Boolean)) await cache.put(name, [serialize(made)])
  return made
}
