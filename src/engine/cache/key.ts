/**
 * The key of what is kept: SHA-256 over everything that it depends on. The program itself is part of that, so that neither an
 * update nor a change of the code ever reads what another one made.
 */
import { createHash } from 'node:crypto'
import { existsSync, readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { codecVersions } from '../../media/index.js'
import { PROGRAM } from '../built.js'
import { engineVersion } from '../version.js'
import { ENTRY_FORMAT } from './entry.js'

/** Rooms whose code decides what a decoded or measured thing comes to; of the bundled program, what they became. */
const ROOMS = [
  ...['core', 'colour', 'kernels', 'chain', 'timing', 'shot', 'vision', 'media', 'engine'],
  ...['cli', 'server', 'chunks'],
]

/** 64 hexadecimal digits. @param of plain data, see `canonical` */
export function keyOf(of: unknown): string {
  return createHash('sha256')
    .update(canonical([builtAs(), of]))
    .digest('hex')
}

/**
 * One text for one value, whatever the order of its properties: JSON with sorted names, and NaN, Infinity and -0 as such, for
 * they count. What is undefined is left out. Arrays of samples stand as their numbers.
 */
export function canonical(value: unknown): string {
  switch (typeof value) {
    case 'number':
      return Object.is(value, -0) ? '-0' : String(value)
    case 'string':
      return JSON.stringify(value)
    case 'boolean':
      return String(value)
    case 'bigint':
      return `${value}n`
    case 'undefined':
      return 'null'
    case 'object':
      return value === null ? 'null' : ofObject(value)
  }
  throw new TypeError(`a ${typeof value} can be no part of a key`)
}

function ofObject(value: object): string {
  if (Array.isArray(value) || ArrayBuffer.isView(value))
    return `[${Array.from(value as ArrayLike<unknown>, canonical).join()}]`
  if (Object.getPrototypeOf(value) !== Object.prototype)
    throw new TypeError(`a ${value.constructor?.name ?? 'thing without a kind'} can be no part of a key`)
  const given = Object.entries(value).filter(([, v]) => v !== undefined)
  given.sort(([a], [b]) => (a < b ? -1 : 1))
  return `{${given.map(([name, v]) => `${JSON.stringify(name)}:${canonical(v)}`).join()}}`
}

let built: string | undefined

/** Format of the entries, runtime, codecs, and size and time of each of our files: an update changes them, a rebuild of a clone too. */
function builtAs(): string {
  built ??= stamp()
  return built
}

function stamp(): string {
  const root = fileURLToPath(PROGRAM)
  const hash = createHash('sha256').update(`${ENTRY_FORMAT} ${process.version} ${process.arch}`)
  hash.update(codecVersions())
  for (const room of ROOMS.filter((r) => existsSync(join(root, r)))) {
    for (const name of (readdirSync(join(root, room), { recursive: true }) as string[]).sort()) {
      if (!/(?<!\.d|\.test)\.[jt]s$/.test(name)) continue
      const { size, mtimeMs } = statSync(join(root, room, name))
      hash.update(`\n${room}/${name} ${size} ${mtimeMs}`)
    }
  }
  return hash.update(engineVersion()).digest('hex')
}
