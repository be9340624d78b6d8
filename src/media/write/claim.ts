/**
 * Who works in a folder: a note in it names the process. The note of a process that has died holds nothing, so that a
 * killed render's folder can be taken over at once; a process on another machine counts as dead when it has not
 * touched its note for SILENT_MS. Clocks of machines that share a disk may differ by less than that.
 */
import { randomBytes } from 'node:crypto'
import { readFileSync, readlinkSync } from 'node:fs'
import { readFile, rename, rm, stat, utimes, writeFile } from 'node:fs/promises'
import { hostname } from 'node:os'
import { join } from 'node:path'
import { lock } from 'proper-lockfile'

const NOTE = 'holder.json'
const SILENT_MS = 120_000
/** A guard that was not refreshed for so long belongs to nobody. It is held for some milliseconds. */
const STALE_MS = 6000
const PATIENCE_MS = 30_000

export interface Holder {
  readonly pid: number
  readonly host: string
  /** When the process began, where the system tells: another process may have its number by now. */
  readonly begun: string
  readonly token: string
}

/** A claim on `folder`, kept fresh until `end`. Make it inside `guarded`. */
export class Claim {
  readonly #note: string
  readonly #token: string
  readonly #beat: NodeJS.Timeout

  private constructor(note: string, token: string) {
    this.#note = note
    this.#token = token
    const touch = () => utimes(note, new Date(), new Date()).catch(() => undefined)
    this.#beat = setInterval(touch, SILENT_MS / 8).unref()
  }

  static async take(folder: string): Promise<Claim> {
    const token = randomBytes(8).toString('hex')
    const own: Holder = { pid: process.pid, host: place(), begun: begun(process.pid), token }
    const note = join(folder, NOTE)
    await writeFile(`${note}.tmp`, JSON.stringify(own))
    await rename(`${note}.tmp`, note)
    return new Claim(note, token)
  }

  /** Takes away whatever note a folder has that nobody will use again. */
  static dismiss(folder: string): Promise<void> {
    return rm(join(folder, NOTE), { force: true })
  }

  /** Whether nobody else has taken the folder meanwhile: a machine may have slept longer than others wait. */
  async holds(): Promise<boolean> {
    return (await read(this.#note))?.token === this.#token
  }

  /** Stops keeping it fresh; `release` also takes the note away. */
  async end(release: boolean): Promise<void> {
    clearInterval(this.#beat)
    if (release && (await this.holds())) await rm(this.#note, { force: true })
  }
}

/** The living process that holds `folder`, or nothing. */
export async function holderOf(folder: string): Promise<Holder | undefined> {
  const note = join(folder, NOTE)
  const holder = await read(note)
  if (holder === undefined) return undefined
  if (holder.host === place()) return lives(holder) ? holder : undefined
  const touched = await stat(note).then(
    (s) => s.mtimeMs,
    () => 0,
  )
  return Date.now() - touched < SILENT_MS ? holder : undefined
}

/** Runs `work` alone among all processes that ask for the same `path`. @throws the system's error, `ELOCKED` after long waiting */
export async function guarded<T>(path: string, work: () => Promise<T>): Promise<T> {
  const deadline = Date.now() + PATIENCE_MS
  for (;;) {
    try {
      const release = await lock(path, {
        realpath: false,
        stale: STALE_MS,
        update: STALE_MS / 3,
        onCompromised: () => {},
      })
      try {
        return await work()
      } finally {
        await release().catch(() => {})
      }
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ELOCKED' || Date.now() > deadline) throw error
    }
    await new Promise((done) => setTimeout(done, 5 + Math.random() * 25))
  }
}

async function read(note: string): Promise<Holder | undefined> {
  try {
    return JSON.parse(await readFile(note, 'utf8')) as Holder
  } catch {
    return undefined
  }
}

function lives({ pid, begun: since }: Holder): boolean {
  try {
    process.kill(pid, 0)
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM'
  }
  return since === begun(pid)
}

/** The machine, and on Linux the namespace in which process numbers count. */
function place(): string {
  try {
    return `${hostname()} ${readlinkSync('/proc/self/ns/pid')}`
  } catch {
    return hostname()
  }
}

/** Start of a process in ticks since the machine's, from Linux' /proc (proc(5): field 22); empty elsewhere; `gone` for one that has ended. */
function begun(pid: number): string {
  try {
    const text = readFileSync(`/proc/${pid}/stat`, 'utf8')
    // The name before the last bracket may hold anything.
    const fields = text.slice(text.lastIndexOf(')') + 2).split(' ')
    return fields[0] === 'Z' || fields[0] === 'X' ? 'gone' : (fields[19] ?? '')
  } catch {
    return ''
  }
}
