import { findPictures } from './sequenceName.js'

/** The files that `openSource` would read: one, or those of the numbered sequence in their order. Nothing where it finds none. */
export async function filesOf(path: string, still = false): Promise<readonly string[]> {
  const pictures = await findPictures(path, { holes: true, still }).catch(() => undefined)
  return pictures?.files ?? [path]
}
