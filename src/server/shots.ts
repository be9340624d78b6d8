/** The shots that are open, each opened once, and who listens to them. */
import { Problem } from '../core/index.js'
import { Studio } from '../engine/preview/studio.js'
import { Events } from './events.js'
import { sayDefect } from './failure.js'
import type { Room } from './room.js'
import { OpenShot } from './shot.js'

/** What decoded pictures of all shots may take together. */
const MEMORY = 768 * 2 ** 20

export class Shots {
  readonly events = new Events()
  readonly #room: Room
  readonly #studio = new Studio({ memoryBytes: MEMORY })
  readonly #open = new Map<string, Promise<OpenShot>>()

  constructor(room: Room) {
    this.#room = room
  }

  /** @param path relative to the folder; @throws Problem as `loadShot`, `server.outside` */
  async get(path: string): Promise<OpenShot> {
    if (!path.endsWith('.shot.json')) {
      throw new Problem({
        code: 'server.not-a-shot',
        what: 'This is no shot document',
        where: path,
        expected: 'NAME.shot.json',
      })
    }
    const full = await this.#room.inside(path)
    const known = this.#open.get(full)
    if (known !== undefined) return known
    const opening = this.#start(full, path)
    this.#open.set(full, opening)
    opening.catch(() => this.#open.delete(full))
    return opening
  }

  /** As `get`, to look at it: files of the other shots that no page listens to are closed. */
  async look(path: string): Promise<OpenShot> {
    const shot = await this.get(path)
    for (const opening of this.#open.values()) {
      const other = await opening.catch(() => undefined)
      if (other !== undefined && other !== shot && !this.events.hears(other.path))
        other.rest().catch(sayDefect)
    }
    return shot
  }

  /** Tells all pages what lies in the folder now. */
  folderChanged(): void {
    this.#room.list().then((folder) => this.events.tell('folder', folder), sayDefect)
  }

  async close(): Promise<void> {
    this.events.close()
    const all = await Promise.allSettled(this.#open.values())
    await Promise.all(all.map((s) => (s.status === 'fulfilled' ? s.value.close() : undefined)))
    await this.#studio.close()
  }

  async #start(full: string, path: string): Promise<OpenShot> {
    const shot = await OpenShot.open(full, this.#room, this.#studio, (what) => {
      if (what === 'job') this.events.tell('job', shot.job, path)
      else shot.state().then((state) => this.events.tell('shot', state, path), sayDefect)
    })
    return shot
  }
}
