/** Files of tracks that nothing names any more. */
import { createHash } from 'node:crypto'
import { readdir, readFile, unlink } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'

/**
 * Removes what came of tracks before they were followed anew. Call it when the document is saved. What stays: a file that the
 * document, another one beside it or one of `states` names, and one that is not as it was written here.
 *
 * @param document absolute path of the shot document
 * @param files as documents name them, relative to its folder
 * @param states texts of the document that can still be gone back to
 * @returns those that are gone
 */
export async function forgetFiles(
  document: string,
  files: readonly string[],
  states: readonly string[],
): Promise<string[]> {
  if (files.length === 0) return []
  const folder = dirname(document)
  const texts = [...states, ...(await documentsIn(folder))]
  const gone: string[] = []
  for (const file of files) {
    // As JSON has it: what is part of a longer name is another file.
    if (texts.some((t) => t.includes(JSON.stringify(file))) || !(await isOurs(folder, file))) continue
    const done = await unlink(join(folder, file)).then(
      () => true,
      () => false,
    )
    if (done) gone.push(file)
  }
  return gone
}

async function documentsIn(folder: string): Promise<string[]> {
  const names = (await readdir(folder)).filter((n) => n.endsWith('.json'))
  return Promise.all(names.map((n) => readFile(join(folder, n), 'utf8')))
}

/** Lies in a folder of tracks under the name that its own content gave it (`file.ts`). */
async function isOurs(folder: string, file: string): Promise<boolean> {
  const [, own] = /-([0-9a-f]{8})\.json$/.exec(basename(file)) ?? []
  if (own === undefined || !/^[^/]+\.tracks\/[^/]+$/.test(file)) return false
  const bytes = await readFile(join(folder, file)).catch(() => undefined)
  return bytes !== undefined && createHash('sha256').update(bytes).digest('hex').startsWith(own)
}
