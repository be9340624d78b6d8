/** Which frames of a sequence are whole: one line of JSON a frame, added when its file stands under its name in the work folder. */
import { type FileHandle, open, readFile, stat } from 'node:fs/promises'
import { join } from 'node:path'
import { type WorkFolder, writeDurable } from './workFolder.js'

const NAME = 'frames.jsonl'
/** Stands when the files move to their final names: from then on they may be in either place. */
const MOVING = 'moving'

export interface JournalLine {
  readonly index: number
  readonly size: number
  readonly faults: { notANumber: number; beyondHalf: number }
  readonly note: unknown
}

export class Journal {
  /** Frames from the first on that were whole when it was opened. */
  readonly kept: readonly JournalLine[]
  readonly #file: FileHandle
  #last: Promise<void> = Promise.resolve()

  private constructor(kept: readonly JournalLine[], file: FileHandle) {
    this.kept = kept
    this.#file = file
  }

  /** @param folder where the files will stand at last; @param name name of a frame's file */
  static async open(work: WorkFolder, folder: string, name: (index: number) => string): Promise<Journal> {
    const moving = await exists(work.file(MOVING))
    const lines = await readLines(work.file(NAME))
    const kept: JournalLine[] = []
    const own = new Set([NAME, MOVING])
    for (;;) {
      const line = lines.get(kept.length)
      if (line === undefined) break
      const file = name(kept.length)
      if ((await sizeOf(work.file(file))) === line.size) own.add(file)
      else if (!moving || (await sizeOf(join(folder, file))) !== line.size) break
      kept.push(line)
    }
    await work.sweep(own)
    await writeDurable(work.file(`${NAME}.tmp`), kept.map(text).join(''))
    await work.commit(`${NAME}.tmp`, NAME)
    return new Journal(kept, await open(work.file(NAME), 'a'))
  }

  add(line: JournalLine): Promise<void> {
    this.#last = this.#last.then(() => this.#file.appendFile(text(line)))
    return this.#last
  }

  /** Says that all frames are whole and move now. */
  async moving(work: WorkFolder): Promise<void> {
    await this.#file.sync()
    await this.close()
    await writeDurable(work.file(MOVING), '')
  }

  close(): Promise<void> {
    return this.#file.close()
  }
}

const text = (line: JournalLine) => `${JSON.stringify(line)}\n`

/** Lines that are complete, by frame. */
async function readLines(path: string): Promise<Map<number, JournalLine>> {
  const lines = new Map<number, JournalLine>()
  const all = await readFile(path, 'utf8').catch(() => '')
  for (const one of all.slice(0, all.lastIndexOf('\n') + 1).split('\n')) {
    try {
      const line = JSON.parse(one) as JournalLine
      lines.set(line.index, line)
    } catch {
      // A line that a power cut left half, or the end.
    }
  }
  return lines
}

async function exists(path: string): Promise<boolean> {
  return (await sizeOf(path)) !== undefined
}

function sizeOf(path: string): Promise<number | undefined> {
  return stat(path).then(
    (s) => s.size,
    () => undefined,
  )
}
