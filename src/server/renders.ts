/** Which state of the document a render was made of: noted beside the history, for the file does not say. */
import { relative, sep } from 'node:path'
import type { LiveDocument } from './document.js'
import type { Rendered } from './job/task.js'

export function noteRender(document: LiveDocument, { out, picture }: Rendered): Promise<void> {
  return document.note({ renders: { ...document.notes.renders, [nameOf(document, out)]: picture } })
}

/** Whether the document has changed since in what a picture depends on; undefined of a render that was made elsewhere. */
export function isOlder(document: LiveDocument, render: string): boolean | undefined {
  const picture = document.notes.renders?.[nameOf(document, render)]
  return picture === undefined ? undefined : picture !== document.pictureRevision
}

/** Beside the document, wherever the server was started. */
function nameOf(document: LiveDocument, file: string): string {
  return relative(document.folder, file).split(sep).join('/')
}
