import { findPictures } from './sequenceName.js'

/** The files that `openSource` would read: one, or those of the numbered sequence in their order. Where it finds none, the path itself. */
export async function filesOf(path: string, still = false): Promise<readonly string[]> {
  const pictures = await findPictures(path, { holes: true, still }).catch(() => undefined)
  return pictures?.files ?? [path]
}
