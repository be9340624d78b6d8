/** Digests of a document: what is the same in two of them. */
import { createHash } from 'node:crypto'
import { type Shot, shotText } from '../shot/index.js'

/** Of all that the document says. */
export function revisionOf(shot: Shot): string {
  return createHash('sha256').update(shotText(shot)).digest('hex').slice(0, 16)
}

/** Of all that a picture depends on. @param files in which state they are (`Files.revision`) */
export function pictureRevisionOf(shot: Shot, files: string): string {
  return `${revisionOf({ ...shot, meant: [] })} ${files}`
}
