/** Which state of the document and its files a render was made of: noted beside the history, for the file does not say. */
import { relative, sep } from 'node:path'
import type { LiveDocument } from './document.js'
import type { Rendered } from './job/task.js'

export function noteRender(document: LiveDocument, { out, picture }: Rendered): Promise<void> {
  return document.note({ renders: { ...document.notes.renders, [nameOf(document, out)]: picture } })
}

/** Whether a picture revision is another one now; undefined of a render that was made elsewhere. */
export function isOlder(document: LiveDocument, render: string, now: string): boolean | undefined {
  const picture = document.notes.renders?.[nameOf(document, render)]
  return picture === undefined ? undefined : picture !== now
}

/** Beside the document, wherever the server was started. */
function nameOf(document: LiveDocument, file: string): string {
  return relative(document.folder, file).split(sep).join('/')
}
