import { mkdir, readFile, rename, rm, writeFile } from 'node:fs/promises'
import { dirname } from 'node:path'
import { Problem } from '../core/index.js'

/**
 * Writes a page or a picture whole or not at all.
 *
 * @param option of the command line that named `out`
 * @throws Problem `report.cannot-write`
 */
export async function writeWhole(out: string, bytes: Uint8Array, option: string): Promise<void> {
  const part = `${out}.part`
  try {
    await makeFolder(dirname(out))
    await writeFile(part, bytes)
    await rename(part, out)
  } catch (error) {
    await rm(part, { force: true }).catch(() => undefined)
    throw new Problem({
      code: 'report.cannot-write',
      what: 'The file cannot be written',
      where: out,
      received: error instanceof Error ? error.message : String(error),
      remedy: `Choose another place with ${option}, or make room there.`,
    })
  }
}

/**
 * As `writeWhole`, and never over a file that holds something else.
 *
 * @throws Problem `report.exists`
 */
export async function writeNew(out: string, text: string, option: string): Promise<void> {
  const before = await readFile(out).catch((e: NodeJS.ErrnoException) =>
    e.code === 'ENOENT' ? undefined : e,
  )
  if (before instanceof Buffer && before.equals(Buffer.from(text))) return
  if (before !== undefined)
    throw new Problem({
      code: 'report.exists',
      what: 'There is already a file of this name, and it holds something else',
      where: out,
      remedy: `Choose another name with ${option}, or remove the old one.`,
    })
  await writeWhole(out, Buffer.from(text), option)
}

/** With those around it. Node's own way to make them never ends where one cannot be made (`/proc/a/b`). */
async function makeFolder(folder: string, again = true): Promise<void> {
  try {
    await mkdir(folder)
  } catch (e) {
    const { code } = e as NodeJS.ErrnoException
    if (code === 'EEXIST') return
    if (code !== 'ENOENT' || !again) throw e
    await makeFolder(dirname(folder))
    await makeFolder(folder, false)
  }
}
