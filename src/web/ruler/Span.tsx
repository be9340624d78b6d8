import { type KeyboardEvent, type PointerEvent, useRef } from 'react'
import type { ElementState } from '../../server/protocol.js'
import { commit } from '../state/acts.js'
import { draft, draftByKeys, placeDraft } from '../state/draft.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'

interface Props {
  readonly element: ElementState
  readonly frames: number
  readonly start: number
}

/** A start frame has no bounds of its own; a slider must name some. */
const FAR = 100000

/** When an element shows; dragging it along the ruler changes its start frame. */
export function Span({ element, frames, start }: Props) {
  const held = useRef<{ x: number; from: number; moved: boolean }>(undefined)
  const { draft: change, selected } = useStore(view, (v) => v)
  const mine = placeDraft(element.id, change)
  const now = mine?.startFrame ?? start
  const first = element.first + now - start
  const left = Math.max(first, 0)
  const width = Math.min(first + element.shown, frames) - left
  const base = mine ?? ({ kind: 'place', element: element.id } as const)
  const move = (e: PointerEvent) => {
    const h = held.current
    if (h === undefined) return
    const wide = e.currentTarget.parentElement?.clientWidth ?? 1
    const to = h.from + Math.round(((e.clientX - h.x) / wide) * frames)
    if (to === now) return
    h.moved = true
    draft({ ...base, startFrame: to })
  }
  const let_go = () => {
    if (held.current?.moved) void commit()
    held.current = undefined
  }
  const key = (e: KeyboardEvent) => {
    const by = { ArrowLeft: -1, ArrowRight: 1 }[e.key]
    if (by === undefined) return
    e.preventDefault()
    e.stopPropagation()
    draftByKeys({ ...base, startFrame: now + by * (e.shiftKey ? 10 : 1) })
  }
  return (
    <div className="row">
      <div
        className={selected === element.id ? 'span selected' : 'span'}
        style={{ left: `${(left / frames) * 100}%`, width: `${(Math.max(width, 0.3) / frames) * 100}%` }}
        role="slider"
        tabIndex={0}
        aria-label={`${element.id}: start frame`}
        aria-valuenow={now}
        aria-valuemin={-FAR}
        aria-valuemax={FAR}
        aria-valuetext={`starts on frame ${now}`}
        onFocus={() => view.set({ selected: element.id })}
        onPointerDown={(e) => {
          e.currentTarget.setPointerCapture(e.pointerId)
          view.set({ selected: element.id })
          held.current = { x: e.clientX, from: now, moved: false }
        }}
        onPointerMove={move}
        onPointerUp={let_go}
        onPointerCancel={let_go}
        onKeyDown={key}
      >
        <span>{element.id}</span>
      </div>
    </div>
  )
}
