/**
 * Which files a source is, without reading all of them: the real path, size and time of change of every file, and the
 * content of some blocks of the first and the last. A file that was changed has another identity; one that was copied
 * over itself with its times kept has so only where the blocks or the size differ.
 */
import { createHash } from 'node:crypto'
import { open, realpath } from 'node:fs/promises'
import { findPictures } from './sequenceName.js'

/** Blocks of a file that are looked at, spread evenly, the first and the last among them. */
const BLOCKS = 16
const BLOCK_BYTES = 4096

/**
 * SHA-256 over what makes a source the same source. Two names of the same pictures have the same.
 *
 * @param still the path means this one picture, whatever stands beside it
 * @throws the system's error when a file cannot be read; Problem as `openSource` for names that mean nothing
 */
export async function sourceIdentity(path: string, still = false): Promise<string> {
  const files = (await findPictures(path, { holes: true, still }))?.files ?? [path]
  const hash = createHash('sha256')
  for (const [i, file] of files.entries()) {
    hash.update(await fileIdentity(file, i === 0 || i === files.length - 1))
  }
  return hash.digest('hex')
}

async function fileIdentity(path: string, withContent: boolean): Promise<Buffer> {
  const hash = createHash('sha256')
  const file = await open(path, 'r')
  try {
    const { size, mtimeNs } = await file.stat({ bigint: true })
    hash.update(JSON.stringify([await realpath(path), String(size), String(mtimeNs)]))
    const room = Math.max(0, Number(size) - BLOCK_BYTES)
    const block = Buffer.alloc(BLOCK_BYTES)
    for (let i = 0; withContent && i < BLOCKS; i++) {
      const { bytesRead } = await file.read(block, 0, BLOCK_BYTES, Math.floor((room * i) / (BLOCKS - 1)))
      hash.update(block.subarray(0, bytesRead))
    }
  } finally {
    await file.close()
  }
  return hash.digest()
}
