/** The opened folder: the only place that requests reach. */
import { lstat, mkdir, readdir, realpath } from 'node:fs/promises'
import { basename, dirname, join, relative, resolve, sep } from 'node:path'
import { Problem } from '../core/index.js'
import { filesOf, seriesOf } from '../media/index.js'
import type { Shot } from '../shot/index.js'
import { MOVIES, STILLS } from './endings.js'
import type { Folder } from './protocol.js'

/** So deep the folder is listed, and so many names of it: what a shot's folder holds (a choice). */
const DEPTH = 4
const MOST = 50_000
/** What some system takes for more than a letter of a name. */
const ODD = process.platform === 'win32' ? /[\\:\0]/ : /[\\\0]/

export class Room {
  /** Absolute, symbolic links followed. */
  readonly root: string
  /** A document that was named when the server was started: its files may lie anywhere. */
  readonly trusted: string | undefined

  readonly #most: number

  private constructor(root: string, trusted: string | undefined, most: number) {
    this.root = root
    this.trusted = trusted
    this.#most = most
  }

  /** @param path a folder, or a shot document whose folder is opened; @param most names that are listed */
  static async open(path: string, most = MOST): Promise<Room> {
    const real = await realpath(path).catch(() => {
      throw new Problem({
        code: 'server.nothing-there',
        what: 'There is no such folder or shot document',
        where: path,
        expected: 'a folder, or NAME.shot.json',
      })
    })
    if ((await lstat(real)).isDirectory()) return new Room(real, undefined, most)
    if (!real.endsWith('.shot.json')) {
      throw new Problem({
        code: 'server.not-a-shot',
        what: 'This is neither a folder nor a shot document',
        where: path,
        expected: 'a folder, or NAME.shot.json',
        remedy: 'Open its folder, and drop it on the page.',
      })
    }
    return new Room(dirname(real), real, most)
  }

  /** The absolute path of what lies in the folder. @throws Problem `server.outside`, `server.nothing-there` */
  async inside(path: string): Promise<string> {
    const full = this.named(path)
    const real = await realpath(full).catch(() => undefined)
    if (real === undefined) {
      throw new Problem({
        code: 'server.nothing-there',
        what: 'There is no such file in the folder',
        where: path,
      })
    }
    if (!this.#holds(real)) throw outside(path)
    return real
  }

  /** The absolute path of a name that need not be there yet: nothing of it leads out of the folder by its words. */
  named(path: string): string {
    const parts = path.split('/')
    const odd = parts.some((p) => p === '' || p === '.' || p === '..' || ODD.test(p))
    if (odd) throw outside(path)
    return join(this.root, ...parts)
  }

  /** The absolute path of a file or of a sequence by its pattern. @throws Problem as `inside` */
  async source(path: string): Promise<string> {
    if (!path.includes('#')) return this.inside(path)
    const full = this.named(path)
    if (dirname(full) !== this.root) await this.inside(this.relative(dirname(full)))
    if (!(await this.holdsFiles(full))) throw outside(path)
    return full
  }

  /**
   * Makes the folder of a new file, where no link leads out on the way to it.
   * @throws Problem `server.outside`, `server.no-folder`
   */
  async makeFolder(folder: string): Promise<void> {
    let at = folder
    while ((await lstat(at).catch(() => undefined)) === undefined) at = dirname(at)
    const real = await realpath(at).catch(() => '')
    if (!this.#holds(real)) throw outside(this.relative(folder))
    if (!(await lstat(real)).isDirectory()) {
      throw new Problem({
        code: 'server.no-folder',
        what: 'A file has the name that a folder would need',
        where: this.relative(at),
        remedy: 'Give one of them another name, and drop it again.',
      })
    }
    await mkdir(folder, { recursive: true })
  }

  /** Whether all files that `path` stands for lie in the folder: one, or those of a sequence. */
  async holdsFiles(path: string): Promise<boolean> {
    if (!this.#holds(path)) return false
    for (const file of await filesOf(path)) {
      const real = await realpath(file).catch(() => undefined)
      if (real !== undefined && !this.#holds(real)) return false
    }
    return true
  }

  /** Refuses a document whose files lie outside, unless a person named that very document. @throws Problem `server.outside` */
  async checkShot(path: string, shot: Shot): Promise<void> {
    if (path === this.trusted) return
    const tracks = shot.tracks.flatMap((t) => t.data?.file ?? [])
    for (const file of [...filesNamed(shot), ...tracks]) {
      if (!(await this.holdsFiles(resolve(dirname(path), file)))) {
        throw new Problem({
          ...outside(file).detail,
          where: `${this.relative(path)}: ${file}`,
          remedy: 'Open the folder that holds both, or start the server with this very document.',
        })
      }
    }
  }

  relative(path: string): string {
    return relative(this.root, path).split(sep).join('/')
  }

  async list(): Promise<Folder> {
    const shots: string[] = []
    const media: Folder['media'][number][] = []
    const { names, more } = await this.#names()
    for (const [folder, files] of names) {
      const at = (name: string) => (folder === '' ? name : `${folder}/${name}`)
      for (const f of files) {
        if (f.endsWith('.shot.json')) shots.push(at(f))
        if (MOVIES.test(f)) media.push({ path: at(f), kind: 'movie' })
      }
      for (const { names: pictures, pattern } of seriesOf(files.filter((f) => STILLS.test(f)))) {
        if (pattern !== undefined) media.push({ path: at(pattern), kind: 'sequence' })
        else for (const p of pictures) media.push({ path: at(p), kind: 'still' })
      }
    }
    const sorted = media.sort((a, b) => a.path.localeCompare(b.path, 'en'))
    return { name: basename(this.root), shots: shots.sort(), media: sorted, more }
  }

  /** File names by folder, what lies near first; links and hidden names are left out. */
  async #names(): Promise<{
    readonly names: ReadonlyMap<string, readonly string[]>
    readonly more: boolean
  }> {
    const names = new Map<string, string[]>()
    let left = this.#most
    let level = ['']
    for (let depth = 1; depth <= DEPTH; depth++) {
      const next: string[] = []
      for (const folder of level) {
        const files: string[] = []
        names.set(folder, files)
        const entries = await readdir(join(this.root, folder), { withFileTypes: true }).catch(() => [])
        for (const e of entries) {
          if (e.name.startsWith('.')) continue
          if (left-- === 0) return { names, more: true }
          if (e.isFile()) files.push(e.name)
          if (e.isDirectory() && e.name !== 'node_modules')
            next.push(folder === '' ? e.name : `${folder}/${e.name}`)
        }
      }
      level = next
    }
    return { names, more: false }
  }

  #holds(real: string): boolean {
    return real === this.root || real.startsWith(this.root + sep)
  }
}

/** As the document has them. */
export function filesNamed(shot: Shot): readonly string[] {
  const { chart, flat, bracket = [] } = shot.camera
  const own = [shot.plate, ...shot.elements, ...shot.elements.map((e) => e.holdout)]
  return [...own, ...shot.tracks, shot.site.greyCard, shot.site.depth, chart, flat, ...bracket].flatMap(
    (f) => f?.file ?? [],
  )
}

function outside(path: string): Problem {
  return new Problem({
    code: 'server.outside',
    what: 'Only what lies in the opened folder can be reached',
    where: path,
    expected: 'a path below the folder, with forward slashes and without ".."',
  })
}
