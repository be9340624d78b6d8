/** Names of numbered files. */
import { basename, dirname, extname, resolve } from 'node:path'
import { Problem } from '../../core/index.js'

export interface SequenceName {
  readonly folder: string
  /** The names with `#` for their digits: `fire.####.exr`. */
  readonly pattern: string
  fileName(number: number): string
  /** Whether `fileName` gives this name for some number. */
  isOne(name: string): boolean
}

/**
 * `shots/fire.####.exr` → folder and numbered names; a name without `#` gets `.####`; a path without the extension is
 * a folder, whose files take its name.
 * @throws Problem `media.wrong-extension` when the path ends in another file's extension
 */
export function sequenceName(path: string, extension: '.exr' | '.png'): SequenceName {
  const ending = extname(path).toLowerCase()
  if (ending !== extension && /^\.(exr|png|tiff?|dpx|jpe?g|mov|mp4|mxf|mkv)$/.test(ending)) {
    throw new Problem({
      code: 'media.wrong-extension',
      what: 'The name does not fit the format',
      where: path,
      expected: `name.####${extension} or a folder`,
      received: ending,
      remedy: 'Name it so, or choose another format.',
    })
  }
  const isFile = ending === extension
  const folder = isFile ? dirname(resolve(path)) : resolve(path)
  const name = isFile ? basename(path).slice(0, -extension.length) : basename(resolve(path))
  const hashes = /#+(?!.*#)/.exec(name)
  const before = hashes === null ? `${name}.` : name.slice(0, hashes.index)
  const after = hashes === null ? '' : name.slice(hashes.index + hashes[0].length)
  const digits = hashes === null ? 4 : hashes[0].length
  const fileName = (number: number) => `${before}${String(number).padStart(digits, '0')}${after}${extension}`
  const [head, tail] = [before, `${after}${extension}`]
  const isOne = (own: string) =>
    own.startsWith(head) &&
    own.endsWith(tail) &&
    own.length >= head.length + digits + tail.length &&
    /^\d+$/.test(own.slice(head.length, own.length - tail.length))
  const pattern = `${before}${'#'.repeat(digits)}${after}${extension}`
  return { folder, pattern, fileName, isOne }
}
