/** Dropped files as they belong together: a movie, a still, or the numbered pictures of a sequence. */
import { MOVIES, STILLS } from '../../server/endings.js'

export interface Brought {
  /** With the folders that it was dropped in. */
  readonly name: string
  readonly file: File
}

/**
 * What can be taken, in groups, and what cannot. Numbered pictures of one name get a folder of their own where they came without
 * one. What lies beside the pictures of a folder came with it unasked, and is passed over.
 */
export function sorted(files: readonly Brought[]): { groups: Brought[][]; wrong: Brought[] } {
  const seen = files.filter(({ name }) => !name.split('/').some((part) => part.startsWith('.')))
  const isMedia = ({ name }: Brought) => MOVIES.test(name) || STILLS.test(name)
  const wrong = seen.filter((f) => !isMedia(f))
  const groups = groupsOf(seen.filter(isMedia))
  return { groups, wrong: groups.length === 0 ? wrong : wrong.filter((f) => !f.name.includes('/')) }
}

function groupsOf(files: readonly Brought[]): Brought[][] {
  const groups = new Map<string, Brought[]>()
  for (const f of files) {
    const series = STILLS.test(f.name) ? f.name.replace(/\d+(?=\.[^.]+$)/, '#') : f.name
    groups.set(series, [...(groups.get(series) ?? []), f])
  }
  return [...groups].map(([series, group]) => {
    const inOrder = group.sort((a, b) => a.name.localeCompare(b.name, 'en'))
    if (group.length === 1 || series.includes('/')) return inOrder
    const stem = series.replace(/[._-]?#.*$/, '') || 'sequence'
    return inOrder.map((f) => ({ ...f, name: `${stem}/${f.name}` }))
  })
}

/** Every file below a dropped folder. */
export async function within(entry: FileSystemEntry, path: string): Promise<Brought[]> {
  const name = `${path}${entry.name}`
  if (entry.isFile) {
    const file = await new Promise<File>((done, fail) => (entry as FileSystemFileEntry).file(done, fail))
    return [{ name, file }]
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader()
  const all: Brought[] = []
  for (;;) {
    // A reader gives at most a hundred at a time.
    const some = await new Promise<FileSystemEntry[]>((done, fail) => reader.readEntries(done, fail))
    if (some.length === 0) return all
    for (const inner of some) all.push(...(await within(inner, `${name}/`)))
  }
}
