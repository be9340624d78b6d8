/** Files that are dropped on the page: streamed into the folder, under their name when they are whole; nothing is overwritten. */
import { createHash, randomBytes } from 'node:crypto'
import { createReadStream, createWriteStream } from 'node:fs'
import { link, lstat, rename, rm, stat } from 'node:fs/promises'
import { dirname, extname } from 'node:path'
import type { Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { Problem } from '../core/index.js'
import type { Room } from './room.js'

const NO_LINKS = new Set(['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS'])

/** @param name relative to the folder; @returns the relative path of the file, or of one of the same bytes that stood there */
export async function receive(room: Room, name: string, body: Readable): Promise<string> {
  const full = room.named(name)
  const part = `${full}.${randomBytes(4).toString('hex')}.partial`
  const hash = createHash('sha256')
  try {
    await room.makeFolder(dirname(full))
    await pipeline(
      body,
      async function* (chunks) {
        for await (const chunk of chunks) {
          hash.update(chunk as Buffer)
          yield chunk
        }
      },
      createWriteStream(part, { flags: 'wx' }),
    )
    return room.relative(await settle(part, full, hash.digest('hex')))
  } catch (e) {
    if (e instanceof Problem) throw e
    throw new Problem({
      code: 'server.upload-broken',
      what: 'The file did not arrive whole, and nothing of it was kept',
      where: name,
      received: e instanceof Error ? e.message : String(e),
      remedy: 'Make room on the disk if it is full, and drop the file again.',
      exit: 3,
    })
  } finally {
    await rm(part, { force: true })
  }
}

/** Gives the whole file a name that nobody has: `link` refuses one that is there, whoever made it. */
async function settle(part: string, full: string, digest: string): Promise<string> {
  const ending = extname(full)
  const stem = full.slice(0, full.length - ending.length)
  for (let n = 1; ; n++) {
    const name = n === 1 ? full : `${stem}-${n}${ending}`
    try {
      await link(part, name)
      return name
    } catch (e) {
      const { code = '' } = e as NodeJS.ErrnoException
      // A disk without links (exFAT, some shares): the name is looked at, then taken.
      if (NO_LINKS.has(code) && !(await isThere(name))) {
        await rename(part, name)
        return name
      }
      if (code !== 'EEXIST' && !NO_LINKS.has(code)) throw e
      const there = await lstat(name)
      if (there.isFile() && there.size === (await stat(part)).size && (await digestOf(name)) === digest)
        return name
    }
  }
}

function isThere(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  )
}

async function digestOf(path: string): Promise<string> {
  const hash = createHash('sha256')
  for await (const chunk of createReadStream(path)) hash.update(chunk as Buffer)
  return hash.digest('hex')
}
