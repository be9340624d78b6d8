import { type KeyboardEvent, type PointerEvent, useEffect, useRef } from 'react'
import { edit } from '../state/acts.js'
import { useStore } from '../state/store.js'
import { type Box, view } from '../state/view.js'

interface Point {
  readonly x: number
  readonly y: number
}

/** A smaller place tells nothing, px of the plate; and a press that moves less on the screen was no drag. */
const LEAST = 8

/** The place of the plate that an element is compared with, while it is drawn: by the pointer, or by keys. */
export function Drawn({ width, height, toPlate }: { width: number; height: number; toPlate: number }) {
  const sheet = useRef<SVGGElement>(null)
  const from = useRef<Point & { readonly was: Box }>(undefined)
  const box = useStore(view, (v) => v.drawing) as Box
  useEffect(() => sheet.current?.focus(), [])

  const at = (e: PointerEvent) => {
    const r = (e.currentTarget as SVGElement).getBoundingClientRect()
    return { x: (e.clientX - r.left) * toPlate, y: (e.clientY - r.top) * toPlate }
  }
  const to = (b: Box) => {
    const w = Math.min(Math.max(Math.round(b.width), LEAST), width)
    const h = Math.min(Math.max(Math.round(b.height), LEAST), height)
    const x = Math.min(Math.max(Math.round(b.x), 0), width - w)
    const y = Math.min(Math.max(Math.round(b.y), 0), height - h)
    view.set({ drawing: { x, y, width: w, height: h } })
  }
  const done = () => {
    const { drawing, selected, frame } = view.get()
    view.set({ drawing: undefined })
    if (drawing !== undefined && selected !== undefined)
      void edit({ kind: 'compareWith', element: selected, region: { ...drawing, frame } })
  }
  const key = (e: KeyboardEvent) => {
    const by = 10
    const way = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] }[e.key]
    if (e.key === 'Enter') done()
    else if (e.key === 'Escape') view.set({ drawing: undefined })
    else if (way !== undefined) {
      const [dx = 0, dy = 0] = way
      if (e.shiftKey) to({ ...box, width: box.width + dx, height: box.height + dy })
      else to({ ...box, x: box.x + dx, y: box.y + dy })
    } else return
    e.preventDefault()
    e.stopPropagation()
  }
  return (
    // biome-ignore lint/a11y/useSemanticElements: a part of a drawing has no element of its own for this
    // biome-ignore lint/a11y/noInteractiveElementToNoninteractiveRole: a part of a drawing that takes keys
    <g
      ref={sheet}
      className="drawn"
      role="group"
      tabIndex={0}
      aria-label="Place to compare with: arrow keys move it, with Shift they size it, Enter takes it, Escape leaves it"
      onKeyDown={key}
    >
      <rect
        className="sheet"
        width={width}
        height={height}
        onPointerDown={(e) => {
          e.currentTarget.setPointerCapture(e.pointerId)
          from.current = { ...at(e), was: box }
        }}
        onPointerMove={(e) => {
          const f = from.current
          if (f === undefined) return
          const p = at(e)
          to({
            x: Math.min(f.x, p.x),
            y: Math.min(f.y, p.y),
            width: Math.abs(p.x - f.x),
            height: Math.abs(p.y - f.y),
          })
        }}
        onPointerUp={(e) => {
          const f = from.current
          if (f === undefined) return
          from.current = undefined
          const p = at(e)
          const least = LEAST * toPlate
          if (Math.abs(p.x - f.x) < least || Math.abs(p.y - f.y) < least) view.set({ drawing: f.was })
          else done()
        }}
        onPointerCancel={() => {
          from.current = undefined
        }}
      />
      <rect className="region" {...box} />
    </g>
  )
}
