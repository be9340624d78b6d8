/** Sizes of picture files, from their headers where those say it plainly. */
import { open, readFile } from 'node:fs/promises'
import { readExrHeader } from './exr/header.js'
import { kindOf, readPicture } from './picture.js'
import { extentOf } from './room.js'
import type { Size } from './uneven.js'
import { SLACK } from './uneven.js'

/** Enough for any header that is not filled with notes. */
const HEAD = 1 << 16

/** Of one size, but for the pixel or two by which frames cut from a larger sheet waver. What cannot be read differs from nothing. */
export async function alike(a: string, b: string): Promise<boolean> {
  const [one, other] = await Promise.all([sizeOf(a), sizeOf(b)])
  if (one === undefined || other === undefined) return true
  return Math.abs(one.width - other.width) <= SLACK && Math.abs(one.height - other.height) <= SLACK
}

async function sizeOf(file: string): Promise<Size | undefined> {
  try {
    const head = await headOf(file)
    const kind = kindOf(head, file)
    if (kind === 'exr') return readExrHeader(head, file).parts[0]?.displayWindow
    return extentOf(head, kind) ?? (await readPicture(await readFile(file), file)).look
  } catch {
    // Told when it is opened.
    return undefined
  }
}

async function headOf(file: string): Promise<Buffer> {
  const handle = await open(file)
  try {
    const { bytesRead, buffer } = await handle.read(Buffer.alloc(HEAD), 0, HEAD, 0)
    return buffer.subarray(0, bytesRead)
  } finally {
    await handle.close()
  }
}
