import { type PointerEvent, useRef } from 'react'
import { useStore } from '../state/store.js'
import { VIEW_NAMES, view } from '../state/view.js'

/** The line between two pictures: dragged, or moved with the arrow keys. */
export function Wipe() {
  const line = useRef<HTMLDivElement>(null)
  const { cut, shown, against } = useStore(view, (v) => v)
  if (against === undefined) return null
  const to = (value: number) => view.set({ cut: Math.min(Math.max(value, 0), 1) })
  const drag = (e: PointerEvent) => {
    if (!e.currentTarget.hasPointerCapture(e.pointerId)) return
    const box = line.current?.parentElement?.getBoundingClientRect()
    if (box !== undefined) to((e.clientX - box.left) / box.width)
  }
  return (
    <div
      ref={line}
      className="wipe-line"
      style={{ left: `${cut * 100}%` }}
      role="slider"
      tabIndex={0}
      aria-label={`Wipe: ${VIEW_NAMES[shown]} on the left, ${VIEW_NAMES[against]} on the right`}
      aria-valuemin={0}
      aria-valuemax={100}
      aria-valuenow={Math.round(cut * 100)}
      onPointerDown={(e) => {
        e.stopPropagation()
        e.currentTarget.setPointerCapture(e.pointerId)
      }}
      onPointerMove={drag}
      onKeyDown={(e) => {
        const by = { ArrowLeft: -1, ArrowRight: 1 }[e.key]
        const end = { Home: 0, End: 1 }[e.key]
        if (by === undefined && end === undefined) return
        e.preventDefault()
        e.stopPropagation()
        to(end ?? cut + ((by ?? 0) * (e.shiftKey ? 10 : 1)) / 100)
      }}
    />
  )
}
