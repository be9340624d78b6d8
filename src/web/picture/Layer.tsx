import { useEffect, useRef, useSyncExternalStore } from 'react'
import { frames } from '../state/frames.js'
import { session } from '../state/session.js'
import { useStore } from '../state/store.js'
import { VIEW_NAMES, view } from '../state/view.js'
import { wishAt } from '../state/wishes.js'
import { paint } from './paint.js'

/** One of the two pictures of a wipe; it keeps the last one until the next is there. */
export function Layer({ of, clip }: { of: 'shown' | 'against'; clip?: string | undefined }) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const { frame, channel } = useStore(view, (v) => v)
  useStore(session, (s) => s.shot)
  const wish = wishAt(frame, of)
  const picture = useSyncExternalStore(frames.subscribe, () => wish && frames.get(wish))
  useEffect(() => {
    if (canvas.current !== null && picture !== undefined) paint(canvas.current, picture, channel)
  }, [picture, channel])
  const name = wish === undefined ? '' : `${VIEW_NAMES[wish.view]}, frame ${frame}`
  return (
    <canvas
      ref={canvas}
      className="layer"
      role="img"
      aria-label={name}
      data-ready={picture !== undefined}
      style={clip === undefined ? {} : { clipPath: clip }}
    />
  )
}
