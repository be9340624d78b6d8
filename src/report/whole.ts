import { mkdir, rename, rm, writeFile } from 'node:fs/promises'
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
    await mkdir(dirname(out), { recursive: true })
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
