import { type KeyboardEvent, type PointerEvent, useRef } from 'react'
import type { ElementState } from '../../server/protocol.js'
import type { ShotElement } from '../../shot/schema.js'
import { commit } from '../state/acts.js'
import { draft, draftByKeys, forget, placeDraft } from '../state/draft.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'

interface Props {
  readonly element: ShotElement
  readonly state: ElementState
  /** Plate pixels to the pixel of the screen. */
  readonly toPlate: number
}

interface Held {
  readonly x: number
  readonly y: number
  readonly from: { readonly x: number; readonly y: number }
  /** Of the corner from the middle, where that is what is held. */
  readonly scale: number | undefined
}

/** Least scale that a hand reaches; the document takes any above 0. */
const LEAST = 0.01
const tidy = (v: number, digits = 1) => Number(v.toFixed(digits))

/** The border of an element on the picture: dragging moves it, its corner scales it, keys do both. */
export function Outline({ element, state, toPlate }: Props) {
  const held = useRef<Held>(undefined)
  const change = useStore(view, (v) => v.draft)
  const selected = useStore(view, (v) => v.selected) === element.id
  const mine = placeDraft(element.id, change)
  const { x, y } = mine?.position ?? element.position
  const scale = mine?.scale ?? state.scale ?? 1
  const [width, height] = [state.width * scale, state.height * scale]
  const base = { kind: 'place', element: element.id } as const
  /** What a hand did before it rested stays in the same edit. */
  const before = mine ?? base

  const grab = (e: PointerEvent, corner: boolean) => {
    if (e.button !== 0) return
    e.stopPropagation()
    e.currentTarget.setPointerCapture(e.pointerId)
    view.set({ selected: element.id })
    held.current = { x: e.clientX, y: e.clientY, from: { x, y }, scale: corner ? scale : undefined }
  }
  const move = (e: PointerEvent) => {
    const h = held.current
    if (h === undefined) return
    const [dx, dy] = [(e.clientX - h.x) * toPlate, (e.clientY - h.y) * toPlate]
    if (h.scale === undefined) {
      draft({ ...before, position: { x: tidy(h.from.x + dx), y: tidy(h.from.y + dy) } })
      return
    }
    const reach = Math.hypot(state.width, state.height) / 2
    const along = (dx * state.width + dy * state.height) / Math.hypot(state.width, state.height)
    draft({ ...before, scale: tidy(Math.max(h.scale + along / reach, LEAST), 4) })
  }
  const let_go = () => {
    if (held.current === undefined) return
    held.current = undefined
    void commit()
  }
  const key = (e: KeyboardEvent) => {
    const far = e.shiftKey ? 10 : 1
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key]
    const grow = { '+': 1, '=': 1, '*': 1, '-': -1, _: -1 }[e.key]
    if (e.key === 'Escape') forget()
    else if (way !== undefined) {
      const [dx = 0, dy = 0] = way
      draftByKeys({ ...before, position: { x: tidy(x + dx * far), y: tidy(y + dy * far) } })
    } else if (grow !== undefined) {
      const by = e.shiftKey && e.key !== '+' ? 0.1 : 0.01
      draftByKeys({ ...before, scale: tidy(Math.max(scale * (1 + grow * by), LEAST), 4) })
    } else return
    e.preventDefault()
    e.stopPropagation()
  }
  const hands = { onPointerMove: move, onPointerUp: let_go, onPointerCancel: let_go }
  const size = 9 * toPlate
  return (
    // biome-ignore lint/a11y/useSemanticElements: a part of a drawing has no element of its own for this
    // biome-ignore lint/a11y/noInteractiveElementToNoninteractiveRole: a part of a drawing that takes keys
    <g
      className={selected ? 'outline selected' : 'outline'}
      role="group"
      tabIndex={0}
      aria-label={`${element.id}: arrow keys move it, plus and minus change its size; Shift for ten`}
      onKeyDown={key}
      onFocus={() => view.set({ selected: element.id })}
    >
      <rect
        x={x - width / 2}
        y={y - height / 2}
        width={width}
        height={height}
        onPointerDown={(e) => grab(e, false)}
        {...hands}
      />
      <rect
        className="corner"
        x={x + width / 2 - size / 2}
        y={y + height / 2 - size / 2}
        width={size}
        height={size}
        onPointerDown={(e) => grab(e, true)}
        {...hands}
      />
      <text x={x - width / 2 + 6 * toPlate} y={y - height / 2 + 16 * toPlate} fontSize={12 * toPlate}>
        {element.id}
      </text>
    </g>
  )
}
