/**
 * Where files grow before they stand under their final names. A movie grows beside its final name, a sequence in a
 * hidden folder beside its files; `settle` renames, `discard` removes everything, made folders included.
 */
import { randomBytes } from 'node:crypto'
import { mkdir, open, readdir, rename, rm, rmdir, stat } from 'node:fs/promises'
import { basename, dirname, extname, join, resolve } from 'node:path'
import { Problem } from '../../core/index.js'
import { cannotWrite, writeProblem } from './failure.js'

export class Staging {
  /** File (movie) or folder (sequence) that is being written. */
  readonly temporary: string
  private readonly folder: string
  private readonly made: string | undefined
  private readonly finals = new Map<string, string>()

  private constructor(folder: string, made: string | undefined, temporary: string) {
    this.folder = folder
    this.made = made
    this.temporary = temporary
  }

  /** Room for the movie `path`. @throws Problem `media.cannot-write`, `media.disk-full` */
  static async movie(path: string): Promise<Staging> {
    const staging = await Staging.prepare(dirname(resolve(path)), basename(path))
    await staging.guarded(async () => {
      staging.finals.set(staging.temporary, resolve(path))
      await staging.refuseFolders()
      await (await open(staging.temporary, 'wx')).close()
    })
    return staging
  }

  /** Room for numbered files in `folder`. @throws Problem `media.cannot-write`, `media.disk-full` */
  static async sequence(folder: string, name: string): Promise<Staging> {
    const staging = await Staging.prepare(resolve(folder), name)
    await staging.guarded(() => mkdir(staging.temporary))
    return staging
  }

  private static async prepare(folder: string, name: string): Promise<Staging> {
    const temporary = join(folder, `.${name}.partial-${process.pid}-${randomBytes(4).toString('hex')}`)
    try {
      return new Staging(folder, await mkdir(folder, { recursive: true }), temporary)
    } catch (error) {
      throw await writeProblem(error, folder)
    }
  }

  /** Names one file of the sequence; gives the path to write it to. */
  add(name: string): string {
    const from = join(this.temporary, name)
    this.finals.set(from, join(this.folder, name))
    return from
  }

  /** Puts all files under their final names, replacing what stood there. @throws Problem */
  async settle(): Promise<void> {
    await this.refuseFolders()
    for (const from of this.finals.keys()) await flushToDisk(from)
    for (const [from, to] of this.finals) await rename(from, to)
    await rm(this.temporary, { recursive: true, force: true })
  }

  /** Removes what was written and the folders that were made for it. */
  async discard(): Promise<void> {
    await rm(this.temporary, { recursive: true, force: true })
    if (this.made === undefined) return
    for (let at = this.folder; at.startsWith(this.made); at = dirname(at)) {
      if ((await readdir(at).catch(() => ['unknown'])).length > 0) return
      await rmdir(at)
    }
  }

  private async refuseFolders(): Promise<void> {
    for (const to of this.finals.values()) {
      if ((await stat(to).catch(() => undefined))?.isDirectory())
        throw cannotWrite(to, 'a folder has this name')
    }
  }

  private async guarded(work: () => Promise<unknown>): Promise<void> {
    try {
      await work()
    } catch (error) {
      await this.discard()
      throw await writeProblem(error, this.finals.get(this.temporary) ?? this.folder)
    }
  }
}

/** Some file systems report a full disk only here. */
async function flushToDisk(path: string): Promise<void> {
  const file = await open(path, 'r+')
  try {
    await file.sync()
  } finally {
    await file.close()
  }
}

export interface SequenceName {
  readonly folder: string
  /** Name of the temporary folder's stem. */
  readonly stem: string
  fileName(number: number): string
  /** Whether `fileName` gives this name for some number. */
  isOne(name: string): boolean
}

/**
 * `shots/fire.####.exr` → folder and numbered names; a name without `#` gets `.####`; a path without the extension is
 * a folder, whose files take its name.
 * @throws Problem `media.wrong-extension` when the path ends in another file's extension
 */
export function sequenceName(path: string, extension: '.exr' | '.png'): SequenceName {
  const ending = extname(path).toLowerCase()
  if (ending !== extension && /^\.(exr|png|tiff?|dpx|jpe?g|mov|mp4|mxf|mkv)$/.test(ending)) {
    throw new Problem({
      code: 'media.wrong-extension',
      what: 'The name does not fit the format',
      where: path,
      expected: `name.####${extension} or a folder`,
      received: ending,
      remedy: 'Name it so, or choose another format.',
    })
  }
  const isFile = ending === extension
  const folder = isFile ? dirname(resolve(path)) : resolve(path)
  const name = isFile ? basename(path).slice(0, -extension.length) : basename(resolve(path))
  const hashes = /#+(?!.*#)/.exec(name)
  const before = hashes === null ? `${name}.` : name.slice(0, hashes.index)
  const after = hashes === null ? '' : name.slice(hashes.index + hashes[0].length)
  const digits = hashes === null ? 4 : hashes[0].length
  const fileName = (number: number) => `${before}${String(number).padStart(digits, '0')}${after}${extension}`
  const [head, tail] = [before, `${after}${extension}`]
  const isOne = (own: string) =>
    own.startsWith(head) &&
    own.endsWith(tail) &&
    own.length >= head.length + digits + tail.length &&
    /^\d+$/.test(own.slice(head.length, own.length - tail.length))
  return { folder, stem: name, fileName, isOne }
}
