/**
 * Files that are dropped on the page: streamed into the folder, under their names when all are whole; nothing is overwritten.
 *
 * What comes together settles together. A file whose name is taken by other bytes becomes `shore-2.mov`; pictures of a sequence
 * go to `soot-2/` where any picture of such a name stands in `soot/`, for two sequences in one folder would be read as one.
 */
import { createHash, randomBytes } from 'node:crypto'
import { createReadStream, createWriteStream } from 'node:fs'
import { link, lstat, mkdir, readdir, rename, rm, stat } from 'node:fs/promises'
import { basename, dirname, extname, join } from 'node:path'
import type { Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { z } from 'zod'
import { Problem } from '../core/index.js'
import { seriesOf } from '../media/index.js'
import { Portions } from './portions.js'
import type { UploadHead } from './protocol.js'
import type { Room } from './room.js'

const NO_LINKS = new Set(['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS'])
/** Where files wait until all are whole. An upload that goes on writes there all the time. */
const LEFT = /^\.platefit-[0-9a-f]{16}\.partial$/
const LEFT_MS = 3_600_000
/** Letters that the head may take: some hundred thousand names. */
const MOST_HEAD = 2 ** 24

const headSchema: z.ZodType<UploadHead> = z
  .array(z.object({ name: z.string().min(1).max(4096), bytes: z.int().nonnegative() }))
  .min(1)
  .refine((files) => files.length === 1 || oneFolder(files.map((f) => f.name)), {
    error: 'several files in one folder, each with a name of its own',
  })

function oneFolder(names: readonly string[]): boolean {
  const folder = dirname(names[0] as string)
  return folder !== '.' && names.every((n) => dirname(n) === folder) && new Set(names).size === names.length
}

/** A file that has arrived and has no name yet. */
interface Part {
  readonly path: string
  readonly bytes: number
  readonly digest: string
}

/**
 * @param body `UploadHead` in a line of JSON, then the bytes of its files
 * @returns relative path of what lies in the folder now, a sequence by its pattern; what stood there already, where its bytes are the same
 * @throws Problem `server.bad-request`, `server.upload-broken`, or as `Room`
 */
export async function receive(room: Room, body: Readable): Promise<string> {
  const waiting = join(room.root, `.platefit-${randomBytes(8).toString('hex')}.partial`)
  await sweep(room)
  try {
    const portions = new Portions(body)
    const head = headOf(await portions.line(MOST_HEAD))
    const names = head.map(({ name }) => room.named(name))
    await mkdir(waiting)
    const parts: Part[] = []
    for (const [i, { bytes }] of head.entries())
      parts.push(await arrived(portions.take(bytes), bytes, join(waiting, String(i))))
    const places = await settle(room, names, parts)
    return room.relative(await meant(places))
  } catch (e) {
    if (e instanceof Problem) throw e
    throw new Problem({
      code: 'server.upload-broken',
      what: 'The file did not arrive whole, and nothing of it was kept',
      received: e instanceof Error ? e.message : String(e),
      remedy: 'Make room on the disk if it is full, and drop the file again.',
      exit: 3,
    })
  } finally {
    await rm(waiting, { recursive: true, force: true })
  }
}

/** Removes what a killed server had received: nobody has written to it for long. */
export async function sweep(room: Room): Promise<void> {
  const left = (await readdir(room.root)).filter((name) => LEFT.test(name))
  for (const folder of left.map((name) => join(room.root, name))) {
    const files = (await readdir(folder).catch(() => [])).map((name) => join(folder, name))
    const times = await Promise.all([folder, ...files].map((f) => stat(f).catch(() => undefined)))
    const last = Math.max(...times.map((t) => t?.mtimeMs ?? 0))
    if (last < Date.now() - LEFT_MS) await rm(folder, { recursive: true, force: true }).catch(() => {})
  }
}

function headOf(line: string): UploadHead {
  try {
    return headSchema.parse(JSON.parse(line))
  } catch (e) {
    throw new Problem({
      code: 'server.bad-request',
      what: 'The head of the files says something that the server does not understand',
      expected: e instanceof z.ZodError ? (e.issues[0]?.message ?? '') : 'a line of JSON',
    })
  }
}

async function arrived(chunks: AsyncIterable<Buffer>, bytes: number, path: string): Promise<Part> {
  const hash = createHash('sha256')
  await pipeline(
    chunks,
    async function* (some: AsyncIterable<Buffer>) {
      for await (const chunk of some) {
        hash.update(chunk)
        yield chunk
      }
    },
    createWriteStream(path, { flags: 'wx' }),
  )
  return { path, bytes, digest: hash.digest('hex') }
}

/** Gives all whole files names that nobody has, or finds all of them there. */
async function settle(room: Room, names: readonly string[], parts: readonly Part[]): Promise<string[]> {
  for (let n = 1; ; n++) {
    const places = names.map((name) => placeOf(name, names.length > 1, n))
    await room.makeFolder(dirname(places[0] as string))
    if (await allThere(parts, places)) return places
    const alone = places.length === 1 || (await seriesThere(places)).length === 0
    if (alone && (await giveAll(parts, places))) return places
  }
}

function placeOf(name: string, inFolder: boolean, n: number): string {
  if (n === 1) return name
  if (inFolder) return join(`${dirname(name)}-${n}`, basename(name))
  const ending = extname(name)
  return `${name.slice(0, name.length - ending.length)}-${n}${ending}`
}

async function allThere(parts: readonly Part[], places: readonly string[]): Promise<boolean> {
  for (const [i, { bytes, digest }] of parts.entries()) {
    const place = places[i] as string
    const there = await lstat(place).catch(() => undefined)
    if (!there?.isFile() || there.size !== bytes || (await digestOf(place)) !== digest) return false
  }
  return true
}

/** Files that stand in the folder and would be read as one sequence with these. */
async function seriesThere(places: readonly string[]): Promise<string[]> {
  const there = new Set(await readdir(dirname(places[0] as string)))
  const names = new Set(places.map((p) => basename(p)))
  const mixed = seriesOf([...names, ...[...there].filter((n) => !names.has(n))])
  const own = mixed.filter((s) => s.names.some((n) => names.has(n))).flatMap((s) => s.names)
  return own.filter((n) => there.has(n))
}

async function giveAll(parts: readonly Part[], places: readonly string[]): Promise<boolean> {
  let given = 0
  try {
    for (const { path } of parts) {
      if (!(await give(path, places[given] as string))) return false
      given++
    }
    return true
  } finally {
    if (given < parts.length)
      for (const [i, { path }] of parts.slice(0, given).entries()) await rename(places[i] as string, path)
  }
}

/** `link` refuses a name that is there, whoever made it. */
async function give(part: string, place: string): Promise<boolean> {
  try {
    await link(part, place)
    await rm(part)
    return true
  } catch (e) {
    const { code = '' } = e as NodeJS.ErrnoException
    if (code === 'EEXIST') return false
    if (!NO_LINKS.has(code)) throw e
    // A disk without links (exFAT, some shares): the name is looked at, then taken.
    if ((await lstat(place).catch(() => undefined)) !== undefined) return false
    await rename(part, place)
    return true
  }
}

/** One file by its name, several by the pattern of their sequence. */
async function meant(places: readonly string[]): Promise<string> {
  const first = places[0] as string
  if (places.length === 1) return first
  const series = seriesOf(await readdir(dirname(first))).find((s) => s.names.includes(basename(first)))
  return join(dirname(first), series?.pattern ?? basename(first))
}

async function digestOf(path: string): Promise<string> {
  const hash = createHash('sha256')
  for await (const chunk of createReadStream(path)) hash.update(chunk as Buffer)
  return hash.digest('hex')
}
