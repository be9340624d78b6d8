/** Files that are dropped or chosen: brought into the folder, then taken for the plate or an element. */
import { addElement, choose } from '../state/acts.js'
import { api, Refused } from '../state/api.js'
import { attempt, session, tell } from '../state/session.js'
import { type Brought, sorted, within } from './groups.js'
import { type Opened, plateFirst } from './roles.js'

type Part = 'plate' | 'element'

/** What will be the plate is on its way: what is dropped meanwhile is an element, whichever arrives first. */
let plateComes = false

/** @param part what they are dropped for; without one there is a plate among them where there is none yet */
export async function bringDrop(data: DataTransfer, part = nextPart()): Promise<void> {
  // Entries and files are gone once the drop's event is over: both are taken before anything is waited for.
  const items = [...data.items].filter((i) => i.kind === 'file')
  const held = items.map((i) => ({ entry: i.webkitGetAsEntry?.() ?? null, file: i.getAsFile() }))
  const found = held.map(async ({ entry, file }) =>
    entry?.isDirectory ? within(entry, '') : file === null ? [] : [{ name: file.name, file }],
  )
  await bring(
    Promise.all(found).then((f) => f.flat()),
    part,
  )
}

export function bringFiles(files: readonly File[], part = nextPart()): Promise<void> {
  const named = files.map((file) => ({ name: file.webkitRelativePath || file.name, file }))
  return bring(Promise.resolve(named), part)
}

function nextPart(): Part {
  const { shot, plate } = session.get()
  return shot === undefined && plate === undefined && !plateComes ? 'plate' : 'element'
}

/** Goes on after a file that is refused: the others are taken. */
async function bring(files: Promise<readonly Brought[]>, part: Part): Promise<void> {
  if (part === 'plate') plateComes = true
  await attempt(async () => {
    const { groups, wrong } = sorted(await files)
    for (const { name } of wrong) tell(noMedia(name))
    const stored = await each(groups, store)
    const ordered = session.get().shot === undefined ? await opened(stored, part) : stored
    await each(ordered, async (path) =>
      session.get().shot === undefined
        ? choose(path, path === ordered[0] ? part : 'element')
        : addElement(path),
    )
  })
  if (part === 'plate') plateComes = false
  session.set({ bringing: undefined })
}

/** The ones that can be opened, the plate first where there is one among them. */
async function opened(paths: readonly string[], part: Part): Promise<string[]> {
  const found = await each(paths, async (path): Promise<Opened> => ({ path, ...(await api.media(path)) }))
  return (part === 'plate' ? plateFirst(found) : found).map((f) => f.path)
}

async function each<A, B>(all: readonly A[], work: (one: A) => Promise<B>): Promise<B[]> {
  const done: B[] = []
  for (const one of all) {
    try {
      done.push(await work(one))
    } catch (e) {
      tell(e)
    }
  }
  return done
}

/** @returns where a group lies now: a file, or a sequence by its pattern */
async function store(group: readonly Brought[]): Promise<string> {
  const name = group.length === 1 ? group[0]?.name : `${group.length} pictures`
  const path = await api.put(group, (share) =>
    session.set({ bringing: `${name}: ${Math.floor(share * 100)} %` }),
  )
  session.set({ bringing: undefined })
  return path
}

function noMedia(name: string): Refused {
  return new Refused({
    code: 'web.no-media',
    what: 'This is neither a movie nor a picture, and it was not brought',
    where: name,
    expected: 'MOV, MP4, MXF, MKV, AVI or WebM; PNG, TIFF, EXR, DPX or JPEG',
  })
}
