/** Files that are dropped or chosen: brought into the folder, then taken for the plate or an element. */
import { api } from '../state/api.js'
import { addElement, attempt, choose, session } from '../state/session.js'

interface Brought {
  readonly name: string
  readonly file: File
}

const STILL = /\.(png|tiff?|exr|dpx|jpe?g)$/i

/** @param role what they are dropped for; without one the first is the plate where there is none yet */
export async function bringDrop(data: DataTransfer, role?: 'plate' | 'element'): Promise<void> {
  // Entries and files are gone once the drop's event is over: both are taken before anything is waited for.
  const items = [...data.items].filter((i) => i.kind === 'file')
  const held = items.map((i) => ({ entry: i.webkitGetAsEntry?.() ?? null, file: i.getAsFile() }))
  const found = await Promise.all(
    held.map(({ entry, file }) =>
      entry?.isDirectory ? within(entry, '') : file === null ? [] : [{ name: file.name, file }],
    ),
  )
  await bring(found.flat(), role)
}

export function bringFiles(files: readonly File[], role?: 'plate' | 'element'): Promise<void> {
  return bring(
    files.map((file) => ({ name: file.webkitRelativePath || file.name, file })),
    role,
  )
}

async function bring(files: readonly Brought[], role?: 'plate' | 'element'): Promise<void> {
  for (const group of groupsOf(files)) {
    await attempt(async () => {
      const name = group.length === 1 ? group[0]?.name : `${group.length} pictures`
      const media = await api.put(group, (share) =>
        session.set({ bringing: `${name}: ${Math.floor(share * 100)} %` }),
      )
      session.set({ bringing: undefined })
      const { shot, plate } = session.get()
      if (shot !== undefined) await addElement(media)
      else await choose(media, role ?? (plate === undefined ? 'plate' : 'element'))
    })
    session.set({ bringing: undefined })
  }
}

/** Numbered pictures of one name are one sequence, and get a folder of their own where they came without one. */
function groupsOf(files: readonly Brought[]): Brought[][] {
  const groups = new Map<string, Brought[]>()
  for (const f of files) {
    if (f.name.split('/').some((part) => part.startsWith('.'))) continue
    const series = STILL.test(f.name) ? f.name.replace(/\d+(?=\.[^.]+$)/, '#') : f.name
    groups.set(series, [...(groups.get(series) ?? []), f])
  }
  return [...groups].map(([series, group]) => {
    const sorted = group.sort((a, b) => a.name.localeCompare(b.name, 'en'))
    if (group.length === 1 || series.includes('/')) return sorted
    const stem = series.replace(/[._-]?#.*$/, '') || 'sequence'
    return sorted.map((f) => ({ ...f, name: `${stem}/${f.name}` }))
  })
}

async function within(entry: FileSystemEntry, path: string): Promise<Brought[]> {
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
