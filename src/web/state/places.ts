/**
 * Where things lie on the frame that is shown: asked of the server one after the other, the newest state alone. What it said last
 * stays until it says the next.
 */
import type { Places } from '../../engine/places.js'
import { api, Refused } from './api.js'
import { session } from './session.js'
import { Store } from './store.js'
import { view } from './view.js'

interface Known {
  /** Of the shot at this path. */
  readonly path: string | undefined
  readonly now: Places | undefined
}

export const places = new Store<Known>({ path: undefined, now: undefined })

/** What the last answer, or the last refusal, was for. */
let known = ''
let asking = false

/** Keeps them coming while something changes. @returns stops it */
export function placesOnChange(): () => void {
  void ask()
  const ends = [session.subscribe(ask), view.subscribe(ask)]
  return () => {
    for (const end of ends) end()
  }
}

async function ask(): Promise<void> {
  if (asking) return
  asking = true
  for (let to = wanted(); to !== undefined && to.key !== known; to = wanted()) {
    const { path, number, draft } = to
    if (places.get().path !== path) places.set({ path, now: undefined })
    try {
      places.set({ now: await api.places({ path, number, ...(draft && { edit: draft }) }) })
    } catch (e) {
      // What it refuses is said where the edit is made; gone, it is asked again when the page finds it back.
      if (!(e instanceof Refused)) break
    }
    known = to.key
  }
  asking = false
}

function wanted() {
  const { shot, here } = session.get()
  const { frame, draft, playing } = view.get()
  if (shot === undefined || playing || !here) return undefined
  const { path, revision, files } = shot
  return { path, number: frame, draft, key: JSON.stringify([path, revision, files, frame, draft]) }
}
