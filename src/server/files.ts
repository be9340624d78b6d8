/**
 * The files of a shot: whether they may be reached, what they are, and whether they are still the same. A person makes an element
 * anew under its old names: what was read of the old one holds no more. Their folders are watched; where the system tells nothing
 * (a share), whoever asks for them `again` finds it.
 */
import { type FSWatcher, watch } from 'node:fs'
import { dirname, extname, resolve } from 'node:path'
import { Problem } from '../core/index.js'
import { type FilesFound, findFiles, type Stage, stageOf } from '../engine/index.js'
import { type Picture, pictureOf } from '../engine/plan.js'
import type { Ground } from '../engine/stand.js'
import { findTracks, type TracksFound } from '../engine/tracks.js'
import { sourceIdentity } from '../media/index.js'
import type { Shot } from '../shot/index.js'
import { filesNamed, type Room } from './room.js'

/** Whoever writes a sequence takes its time: it is looked at when its folder has been quiet for so long. */
const QUIET_MS = 400

export class Files {
  readonly #document: string
  readonly #room: Room
  readonly #written: () => void
  #watchers: readonly FSWatcher[] = []
  #quiet: NodeJS.Timeout | undefined
  #reached: { readonly names: string; readonly done: Promise<void> } | undefined
  #stamps: Readonly<Record<string, string>> = {}
  #found: { readonly key: string; readonly found: FilesFound } | undefined
  #tracks: { readonly key: string; readonly found: Promise<TracksFound> } | undefined

  /** @param document its absolute path; @param written is called after something was written in a folder of its files */
  constructor(document: string, room: Room, written: () => void) {
    this.#document = document
    this.#room = room
    this.#written = written
  }

  /** By the names that the document has: changes with the file; empty where there is none. */
  get stamps(): Readonly<Record<string, string>> {
    return this.#stamps
  }

  /** Of all of them. */
  get revision(): string {
    return JSON.stringify(this.#stamps)
  }

  /** What the plate is, as far as `stage` could open it. */
  get plate() {
    const found = this.#found?.found.get('plate')
    return found instanceof Problem ? undefined : found
  }

  /** Looks once at the same names: every picture of a long sequence takes longer than a frame. @throws Problem `server.outside` */
  reach(shot: Shot): Promise<void> {
    const names = filesNamed(shot).join('\n')
    return this.#reached?.names === names ? this.#reached.done : this.again(shot)
  }

  /** As `reach`, looking anew. */
  again(shot: Shot): Promise<void> {
    const files = filesNamed(shot)
    const reached = { names: files.join('\n'), done: this.#look(shot, files) }
    this.#reached = reached
    reached.done.catch(() => {
      if (this.#reached === reached) this.#reached = undefined
    })
    return reached.done
  }

  async stage(shot: Shot): Promise<Stage> {
    return stageOf(shot, await this.#facts(shot))
  }

  /** What says where things stand; undefined where the plate cannot be opened. */
  async ground(
    shot: Shot,
  ): Promise<{ ground: Ground; pictures: Readonly<Record<string, Picture>> } | undefined> {
    const facts = await this.#facts(shot)
    const plate = facts.get('plate')
    if (plate === undefined || plate instanceof Problem) return undefined
    const elements = shot.elements.flatMap(({ id }) => {
      const found = facts.get(id)
      return found === undefined || found instanceof Problem ? [] : [[id, pictureOf(found)] as const]
    })
    const stamps = [shot.plate, ...shot.tracks].map(({ file }) => file && this.#stamps[file])
    const key = JSON.stringify([shot.tracks, shot.plate, shot.camera, stamps])
    if (this.#tracks?.key !== key)
      this.#tracks = { key, found: findTracks(shot, dirname(this.#document), plate) }
    const ground = { shot, plate: pictureOf(plate), tracks: await this.#tracks.found }
    return { ground, pictures: Object.fromEntries(elements) }
  }

  /** Files are opened again only where the document says something else of them, or they were made anew. */
  async #facts(shot: Shot): Promise<FilesFound> {
    try {
      await this.reach(shot)
    } catch (e) {
      if (!(e instanceof Problem)) throw e
      return new Map(['plate', ...shot.elements.map((x) => x.id)].map((id) => [id, e]))
    }
    const records = [shot.plate, ...shot.elements]
    const key = JSON.stringify(
      records.map(({ treatments: _, ...file }) => [fileKey(file), this.#stamps[file.file]]),
    )
    if (this.#found?.key !== key) this.#found = { key, found: await findFiles(shot, dirname(this.#document)) }
    return this.#found.found
  }

  close(): void {
    clearTimeout(this.#quiet)
    for (const w of this.#watchers) w.close()
    this.#watchers = []
  }

  async #look(shot: Shot, files: readonly string[]): Promise<void> {
    await this.#room.checkShot(this.#document, shot)
    const paths = new Map(files.map((file) => [file, resolve(dirname(this.#document), file)]))
    this.#watch([...paths.values()])
    const stamps = [...paths].map(
      async ([file, path]) => [file, await sourceIdentity(path).catch(() => '')] as const,
    )
    this.#stamps = Object.fromEntries(await Promise.all(stamps))
  }

  /** Anew each time: a folder that was removed and made again is another one. */
  #watch(paths: readonly string[]): void {
    this.close()
    const endings = new Map<string, Set<string>>()
    for (const path of paths) {
      const ending = extname(path).toLowerCase()
      // Without an ending it may be a folder of pictures.
      const folder = ending === '' ? path : dirname(path)
      endings.set(folder, (endings.get(folder) ?? new Set()).add(ending))
    }
    this.#watchers = [...endings].flatMap(([folder, those]) => {
      try {
        const watcher = watch(folder, { persistent: false }, (_, name) => {
          if (name !== null && !those.has('') && !those.has(extname(name).toLowerCase())) return
          clearTimeout(this.#quiet)
          this.#quiet = setTimeout(this.#written, QUIET_MS).unref()
        })
        return [watcher.on('error', () => {})]
      } catch {
        return []
      }
    })
  }
}

/** What of a file's record says how it is opened. */
function fileKey(file: Record<string, unknown>): unknown[] {
  return ['id', 'file', 'curve', 'primaries', 'matrix', 'range', 'rate', 'layer', 'still'].map((k) => file[k])
}
