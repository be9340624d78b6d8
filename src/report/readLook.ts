import { readFile } from 'node:fs/promises'
import { Problem } from '../core/index.js'

/** Text of a file that pictures are looked through. @throws Problem `code` where it cannot be read */
export async function readLook(
  file: string,
  { code, what, expected, option }: Readonly<Record<'code' | 'what' | 'expected' | 'option', string>>,
): Promise<string> {
  try {
    return await readFile(file, 'utf8')
  } catch (e) {
    throw new Problem({
      code,
      what: `${what} cannot be read`,
      where: file,
      expected,
      received: e instanceof Error ? e.message : String(e),
      remedy: `Give another file with ${option}, or leave ${option} out.`,
    })
  }
}
