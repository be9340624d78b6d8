/** An edit that a hand is making: seen at once, written when the hand is done or does something else. */
import type { HandEdit, PageEdit } from '../../server/protocol.js'
import type { Edit } from '../../shot/command.js'
import { commit, edit } from './acts.js'
import { view } from './view.js'

/** A hand on the keyboard is done when it has rested so long. */
const REST_MS = 450
let resting: ReturnType<typeof setTimeout> | undefined

export type Place = Extract<Edit, { kind: 'place' }>

export function draft(change: PageEdit): void {
  clearTimeout(resting)
  const { draft: before } = view.get()
  if (before !== undefined && inHand(before) !== inHand(change)) void edit(before)
  view.set({ draft: change })
}

/** For keys: what is done between two rests is one edit. */
export function draftByKeys(change: PageEdit): void {
  draft(change)
  resting = setTimeout(commit, REST_MS)
}

export function forget(): void {
  clearTimeout(resting)
  view.set({ draft: undefined })
}

/** The draft of this element's place, if there is one. */
export function placeDraft(id: string, change: PageEdit | undefined): Place | undefined {
  return change?.kind === 'place' && change.element === id ? change : undefined
}

/** What a hand on the picture does to this element on this frame, if it does. */
export function handDraft(id: string, number: number, change: PageEdit | undefined): HandEdit | undefined {
  return change?.kind === 'hand' && change.element === id && change.number === number ? change : undefined
}

/** What a hand holds: a draft takes the place of another one only of the same. */
function inHand(change: PageEdit): string {
  const { kind, element, link, number } = change as {
    readonly kind: string
    readonly element?: string
    readonly link?: string
    readonly number?: number
  }
  return JSON.stringify([kind, element, link, number])
}
