import { useEffect, useRef, useState } from 'react'
import type { ShotState } from '../../server/protocol.js'
import { placesOnChange } from '../state/places.js'
import { useStore } from '../state/store.js'
import { VIEW_NAMES, view } from '../state/view.js'
import { wishOnChange } from '../state/wishes.js'
import { Layer } from './Layer.js'
import { Marks } from './Marks.js'
import { Wipe } from './Wipe.js'

/** Pictures of another size are decoded and made anew: it is asked for when the window rests. */
const REST_MS = 200

/** The picture as large as the window allows, on the grey that it is judged on. */
export function Picture({ shot }: { shot: ShotState }) {
  const frame = useRef<HTMLDivElement>(null)
  const [wide, setWide] = useState(1)
  const { shown, against, cut, stops, drawing } = useStore(view, (v) => v)
  const { width, height } = shot.plate
  useEffect(wishOnChange, [])
  useEffect(placesOnChange, [])
  useEffect(() => {
    const box = frame.current
    if (box === null) return
    let resting: ReturnType<typeof setTimeout> | undefined
    const sized = () => {
      const w = box.clientWidth
      if (w === 0) return
      setWide(w)
      clearTimeout(resting)
      const ask = () => view.set({ width: Math.min(Math.round(w * devicePixelRatio), width) })
      if (view.get().width === 0) ask()
      else resting = setTimeout(ask, REST_MS)
    }
    const seen = new ResizeObserver(sized)
    seen.observe(box)
    return () => {
      seen.disconnect()
      clearTimeout(resting)
    }
  }, [width])
  const toPlate = width / wide
  return (
    <div className="stage">
      <div
        ref={frame}
        className={drawing === undefined ? 'frame' : 'frame drawing'}
        style={{ aspectRatio: `${width} / ${height}`, ['--ratio' as string]: width / height }}
        onPointerMove={(e) => {
          const box = e.currentTarget.getBoundingClientRect()
          const point = [(e.clientX - box.left) * toPlate, (e.clientY - box.top) * toPlate] as const
          view.set({ point: [Math.floor(point[0]), Math.floor(point[1])] })
        }}
        onPointerLeave={() => view.set({ point: undefined })}
      >
        <Layer of="shown" />
        {against !== undefined && <Layer of="against" clip={`inset(0 0 0 ${cut * 100}%)`} />}
        <Marks shot={shot} toPlate={toPlate} />
        <Wipe />
        <span className="tag left">
          {VIEW_NAMES[shown]}
          {stops !== 0 && `, ${signed(stops)} stops`}
        </span>
        {drawing !== undefined && (
          <span className="tag hint">
            Drag over something as far away and about as dark as the element should look: soot compared with
            pale asphalt turns grey. Escape leaves it.
          </span>
        )}
        {against !== undefined && <span className="tag right">{VIEW_NAMES[against]}</span>}
      </div>
    </div>
  )
}

function signed(v: number): string {
  return v > 0 ? `+${v}` : `−${-v}`
}
