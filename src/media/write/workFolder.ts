/**
 * The hidden folder beside an output in which it grows: `.NAME.partial-KEY`. What is whole in it stays when the process
 * is killed, and the next call with the same key goes on from there. Folders of other keys for the same output are
 * removed when nobody works in them. `settle` renames into place, `discard` removes everything, made folders included.
 */
import { createHash, randomBytes } from 'node:crypto'
import { mkdir, open, readdir, readFile, rename, rm, rmdir, stat, writeFile } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { Problem } from '../../core/index.js'
import type { WriteOptions } from '../types.js'
import { Claim, guarded, type Holder, holderOf } from './claim.js'
import { cannotWrite, writeProblem } from './failure.js'

/** Changes when the files inside are laid out in another way. */
const LAYOUT = 1
const MANIFEST = 'manifest.json'

/** What is written: a movie of this name, or the numbered files of this pattern from `first` on. */
export interface Output {
  readonly folder: string
  readonly name: string
  readonly first?: number
}

interface Manifest {
  readonly layout: number
  readonly key: string
  readonly first?: number
  readonly count?: number
  /** Topmost folder that was made for the output. */
  readonly made?: string
}

export class WorkFolder {
  readonly path: string
  private readonly output: Output
  private readonly manifest: Manifest
  private readonly claim: Claim

  private constructor(output: Output, path: string, manifest: Manifest, claim: Claim) {
    this.output = output
    this.path = path
    this.manifest = manifest
    this.claim = claim
  }

  /** @throws Problem `media.output-busy`, `media.cannot-write`, `media.disk-full` */
  static async open(output: Output, options: WriteOptions): Promise<WorkFolder> {
    const { folder, name } = output
    const key = options.key ?? randomBytes(16).toString('hex')
    const short = createHash('sha256').update(key).digest('hex').slice(0, 16)
    const path = join(folder, `.${name}.partial-${short}`)
    let made: string | undefined
    let begun = false
    try {
      made = await mkdir(folder, { recursive: true })
      return await guarded(join(folder, `.${name}.partial`), async () => {
        const plain: Manifest = {
          layout: LAYOUT,
          key,
          ...(output.first === undefined ? {} : { first: output.first }),
          ...(options.count === undefined ? {} : { count: options.count }),
        }
        // Folders that were made for a render that was given up are ours to remove.
        made ??= await clear(output, path, plain, options.fresh === true)
        const own = made === undefined ? plain : { ...plain, made }
        const kept = await manifestOf(path)
        if (kept === undefined) {
          await mkdir(path)
          begun = true
          await writeFile(join(path, MANIFEST), JSON.stringify(own))
        }
        return new WorkFolder(output, path, kept ?? own, await Claim.take(path))
      })
    } catch (error) {
      if (begun) await rm(path, { recursive: true, force: true })
      await removeMade(folder, made)
      throw await writeProblem(error, join(folder, name))
    }
  }

  file(name: string): string {
    return join(this.path, name)
  }

  /** Removes all files but those named. */
  async sweep(keep: ReadonlySet<string>): Promise<void> {
    for (const name of await readdir(this.path)) {
      if (name !== MANIFEST && !name.startsWith('holder.') && !keep.has(name)) await rm(this.file(name))
    }
  }

  /** Gives a file that is complete and on the disk its name in the folder. @throws Problem `media.output-taken` */
  async commit(temporary: string, name: string): Promise<void> {
    if (!(await this.claim.holds())) throw taken(join(this.output.folder, this.output.name))
    await rename(this.file(temporary), this.file(name))
  }

  /** Puts files under their final names, replacing what stood there, and removes the folder. @throws Problem */
  async settle(finals: ReadonlyMap<string, string>): Promise<void> {
    for (const to of finals.values()) {
      if ((await stat(to).catch(() => undefined))?.isDirectory())
        throw cannotWrite(to, 'a folder has this name')
    }
    if (!(await this.claim.holds())) throw taken(join(this.output.folder, this.output.name))
    for (const [from, to] of finals) await rename(this.file(from), to)
    await this.remove()
  }

  /** Removes what was written and the folders that were made for it. */
  async discard(): Promise<void> {
    await this.remove()
    await removeMade(this.output.folder, this.manifest.made)
  }

  /** Leaves what is whole to the next call. */
  async release(): Promise<void> {
    await this.claim.end(true)
  }

  /** Under another name first: nobody may take over what is half removed. */
  private async remove(): Promise<void> {
    const ours = await this.claim.holds()
    await this.claim.end(false)
    if (!ours) return
    const gone = join(this.output.folder, `.${this.output.name}.partial-${randomBytes(8).toString('hex')}`)
    await rename(this.path, gone)
    await Claim.dismiss(gone)
    await rm(gone, { recursive: true, force: true, maxRetries: 3 })
  }
}

/**
 * Removes what nobody needs any more.
 * @returns the topmost folder that was made for what is removed
 * @throws Problem `media.output-busy` when somebody else writes the same files
 */
async function clear(
  output: Output,
  own: string,
  manifest: Manifest,
  fresh: boolean,
): Promise<string | undefined> {
  const { folder, name } = output
  const head = `.${name}.partial-`
  const others = (await readdir(folder)).filter(
    (f) => f.startsWith(head) && /^[0-9a-f]{16}$/.test(f.slice(head.length)),
  )
  let made: string | undefined
  for (const other of others.map((f) => join(folder, f))) {
    const found = await manifestOf(other)
    const holder = await holderOf(other)
    const inOurWay = found === undefined || overlap(found, manifest)
    if (holder !== undefined && inOurWay) throw busy(join(folder, name), holder)
    const stays = other === own ? found?.key === manifest.key && !fresh : !inOurWay
    if (holder !== undefined || stays) continue
    made ??= found?.made
    await rm(other, { recursive: true, force: true, maxRetries: 3 })
  }
  return made
}

/** Whether two outputs of one name write the same files: movies always, sequences where their numbers meet. */
function overlap(a: Manifest, b: Manifest): boolean {
  const end = (m: Manifest) => (m.first ?? 0) + (m.count ?? Number.POSITIVE_INFINITY)
  return a.first === undefined || b.first === undefined || (a.first < end(b) && b.first < end(a))
}

async function manifestOf(path: string): Promise<Manifest | undefined> {
  try {
    const found = JSON.parse(await readFile(join(path, MANIFEST), 'utf8')) as Manifest
    return found.layout === LAYOUT ? found : undefined
  } catch {
    return undefined
  }
}

async function removeMade(folder: string, made: string | undefined): Promise<void> {
  if (made === undefined) return
  for (let at = folder; at.startsWith(made); at = dirname(at)) {
    if ((await readdir(at).catch(() => ['unknown'])).length > 0) return
    await rmdir(at)
  }
}

/** Writes a whole file and makes sure that it is on the disk: some file systems report a full disk only then. */
export async function writeDurable(path: string, bytes: Uint8Array | string): Promise<void> {
  const file = await open(path, 'w')
  try {
    await file.writeFile(bytes)
    await file.sync()
  } finally {
    await file.close()
  }
}

/** The same for a file that was written by others. */
export async function flushToDisk(path: string): Promise<void> {
  const file = await open(path, 'r+')
  try {
    await file.sync()
  } finally {
    await file.close()
  }
}

function busy(path: string, { pid, host }: Holder): Problem {
  return new Problem({
    code: 'media.output-busy',
    what: 'Another process is writing this output',
    where: path,
    received: `process ${pid} on ${host.split(' ')[0]}`,
    remedy: 'Wait for it to end, stop it, or choose another name.',
  })
}

function taken(path: string): Problem {
  return new Problem({
    code: 'media.output-taken',
    what: 'Another process has taken this output over while this one was silent',
    where: path,
    remedy: 'Nothing of its work was touched; render again when it has ended.',
    exit: 3,
  })
}
