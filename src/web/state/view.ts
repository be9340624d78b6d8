/** How the shot is looked at; nothing of this is kept. */
import type { FrameView, PageEdit } from '../../server/protocol.js'
import type { ShotElement } from '../../shot/schema.js'
import { Store } from './store.js'

export type Channel = 'all' | 'red' | 'green' | 'blue'

export interface Box {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

interface View {
  /** Of the shot, 0-based. */
  readonly frame: number
  readonly shown: FrameView
  /** What lies to the right of the wipe's line. */
  readonly against: FrameView | undefined
  /** Where the line stands, 0 to 1 of the picture's width. */
  readonly cut: number
  readonly channel: Channel
  readonly stops: number
  readonly playing: boolean
  /** Frames a second that were really shown, while it plays. */
  readonly trueRate: number | undefined
  /** Id of the element in hand. */
  readonly selected: string | undefined
  /** An edit that a hand is making. */
  readonly draft: PageEdit | undefined
  /** A place to compare with that is being drawn, plate pixels. */
  readonly drawing: Box | undefined
  /** Shapes and tracks are drawn over the picture. */
  readonly marked: boolean
  /** Plate pixel under the pointer. */
  readonly point: readonly [number, number] | undefined
  /** Index of the tell that is looked at. */
  readonly tell: number | undefined
  /** Wanted width of the picture, px. */
  readonly width: number
}

export const view = new Store<View>({
  frame: 0,
  shown: 'result',
  against: undefined,
  cut: 0.5,
  channel: 'all',
  stops: 0,
  playing: false,
  trueRate: undefined,
  selected: undefined,
  draft: undefined,
  drawing: undefined,
  marked: true,
  point: undefined,
  tell: undefined,
  width: 0,
})

export const VIEW_NAMES: Readonly<Record<FrameView, string>> = {
  plate: 'Plate',
  plain: 'Plain over',
  result: 'Result',
}

/** Begins to draw the place that an element is compared with: from the one that it has, or from the middle of the plate. */
export function drawPlace(
  element: ShotElement,
  plate: { readonly width: number; readonly height: number },
): void {
  const [width, height] = [plate.width / 8, plate.height / 8].map(Math.round)
  const middle = { x: Math.round((plate.width - width) / 2), y: Math.round((plate.height - height) / 2) }
  const drawing = element.compareWith ?? { ...middle, width, height }
  view.set({ selected: element.id, drawing, playing: false })
}

/** Goes to a frame, held inside the shot. */
export function goTo(frame: number, frames: number): void {
  view.set({ frame: Math.min(Math.max(Math.round(frame), 0), Math.max(frames - 1, 0)) })
}
