import { type KeyboardEvent, type PointerEvent, useRef } from 'react'
import type { ElementPlace, Spot } from '../../engine/places.js'
import type { HandEdit } from '../../server/protocol.js'
import { commit } from '../state/acts.js'
import { draft, draftByKeys, forget, handDraft } from '../state/draft.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'
import { pointsOf } from './points.js'

interface Props {
  readonly place: ElementPlace
  /** Plate pixels to the pixel of the screen. */
  readonly toPlate: number
}

interface Held {
  readonly x: number
  readonly y: number
  /** Where what is held was then. */
  readonly from: Spot
  readonly part: 'anchor' | 'corner'
}

const moved = ([x, y]: Spot, dx: number, dy: number): Spot => [x + dx, y + dy]

/** The border of an element on the picture, where it lies on this frame: dragging moves it, its corner scales it, keys do both. */
export function Outline({ place, toPlate }: Props) {
  const held = useRef<Held>(undefined)
  const { draft: change, selected, frame } = useStore(view, (v) => v)
  const { id, border, corners, anchor } = place
  const [first, , last] = corners
  const mine = handDraft(id, frame, change)
  /** What a hand did before it rested stays in the same edit. */
  const before: HandEdit = mine ?? { kind: 'hand', element: id, number: frame }
  if (anchor === null) return null

  const grab = (e: PointerEvent, part: Held['part'], from: Spot) => {
    if (e.button !== 0) return
    e.stopPropagation()
    e.currentTarget.setPointerCapture(e.pointerId)
    view.set({ selected: id })
    held.current = { x: e.clientX, y: e.clientY, from, part }
  }
  const move = (e: PointerEvent) => {
    const h = held.current
    if (h === undefined) return
    const to = moved(h.from, (e.clientX - h.x) * toPlate, (e.clientY - h.y) * toPlate)
    draft({ ...before, [h.part]: to })
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
      draftByKeys({ ...before, anchor: moved(before.anchor ?? anchor, dx * far, dy * far) })
    } else if (grow !== undefined) {
      const by = e.shiftKey && e.key !== '+' ? 0.1 : 0.01
      draftByKeys({ ...before, scale: (before.scale ?? place.scale ?? 1) * (1 + grow * by) })
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
      className={selected === id ? 'outline selected' : 'outline'}
      role="group"
      tabIndex={0}
      aria-label={`${id}: arrow keys move it, plus and minus change its size; Shift for ten`}
      onKeyDown={key}
      onFocus={() => view.set({ selected: id })}
    >
      <polygon
        points={pointsOf(border)}
        onPointerDown={(e) => grab(e, 'anchor', before.anchor ?? anchor)}
        {...hands}
      />
      <circle className="anchor" cx={anchor[0]} cy={anchor[1]} r={2 * toPlate} />
      {last && (
        <rect
          className="corner"
          x={last[0] - size / 2}
          y={last[1] - size / 2}
          width={size}
          height={size}
          onPointerDown={(e) => grab(e, 'corner', last)}
          {...hands}
        />
      )}
      {first && (
        <text x={first[0] + 6 * toPlate} y={first[1] + 16 * toPlate} fontSize={12 * toPlate}>
          {id}
        </text>
      )}
    </g>
  )
}
