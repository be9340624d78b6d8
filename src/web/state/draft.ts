/** An edit that a hand is making: seen at once, written when the hand is done. */
import type { Edit } from '../../shot/command.js'
import { edit, session } from './session.js'
import { view } from './view.js'

/** A hand on the keyboard is done when it has rested so long. */
const REST_MS = 450
let resting: ReturnType<typeof setTimeout> | undefined

export type Place = Extract<Edit, { kind: 'place' }>

export function draft(change: Edit): void {
  clearTimeout(resting)
  view.set({ draft: change })
}

/** For keys: what is done between two rests is one edit. */
export function draftByKeys(change: Edit): void {
  draft(change)
  resting = setTimeout(commit, REST_MS)
}

export async function commit(): Promise<void> {
  clearTimeout(resting)
  const { draft: change } = view.get()
  if (change === undefined) return
  await edit(change)
  // What could not be written yet stays in sight.
  if (session.get().here && view.get().draft === change) view.set({ draft: undefined })
}

export function forget(): void {
  clearTimeout(resting)
  view.set({ draft: undefined })
}

/** The draft of this element's place, if there is one. */
export function placeDraft(id: string, change: Edit | undefined): Place | undefined {
  return change?.kind === 'place' && change.element === id ? change : undefined
}
