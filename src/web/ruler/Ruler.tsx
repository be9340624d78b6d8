import type { KeyboardEvent, PointerEvent } from 'react'
import type { ShotState } from '../../server/protocol.js'
import { play, stop } from '../state/play.js'
import { useStore } from '../state/store.js'
import { goTo, view } from '../state/view.js'
import { Span } from './Span.js'
import { TellMark } from './TellMark.js'
import { Ticks } from './Ticks.js'

/** The frames of the shot: scrubbed by pointer or keys; elements as spans, tells as marks. */
export function Ruler({ shot }: { shot: ShotState }) {
  const { frame, playing, trueRate } = useStore(view, (v) => v)
  const { frames, rate } = shot.plate
  const scrub = (e: PointerEvent) => {
    if (!e.currentTarget.hasPointerCapture(e.pointerId)) return
    const box = e.currentTarget.getBoundingClientRect()
    goTo(Math.floor(((e.clientX - box.left) / box.width) * frames), frames)
  }
  const rates = `${trim(rate)} frames/s`
  return (
    <section className="ruler" aria-label="Frames">
      <div className="ruler-line">
        <button type="button" className="play" aria-pressed={playing} onClick={play}>
          {playing ? 'Stop' : 'Play'}
        </button>
        <span className="where">
          <b>{frame}</b>
          <span className="soft"> of 0 to {frames - 1}</span>
        </span>
        <span className="soft rate">
          {playing && trueRate !== undefined ? `${trueRate.toFixed(1)} of ${rates}` : rates}
        </span>
      </div>
      <div className="scale">
        <div
          className="scrub"
          role="slider"
          tabIndex={0}
          aria-label="Frame"
          aria-valuemin={0}
          aria-valuemax={frames - 1}
          aria-valuenow={frame}
          onPointerDown={(e) => {
            stop()
            e.currentTarget.setPointerCapture(e.pointerId)
            scrub(e)
          }}
          onPointerMove={scrub}
          onKeyDown={(e) => scrubByKey(e, frames)}
        >
          <Ticks frames={frames} />
        </div>
        <div className="spans">
          {shot.elements.map((e) => (
            <Span key={e.id} element={e} frames={frames} start={startOf(shot, e.id)} />
          ))}
          {shot.check?.tells.map((t, i) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: tells are known by their place in the check
            <TellMark key={i} tell={t} index={i} frames={frames} />
          ))}
        </div>
        <i className="playhead" style={{ left: `${(frame / frames) * 100}%`, width: `${100 / frames}%` }} />
      </div>
    </section>
  )
}

/** ←/→ a frame, Shift ten, Home and End, Space plays. @returns whether the key meant something */
export function scrubByKey(e: KeyboardEvent | globalThis.KeyboardEvent, frames: number): boolean {
  const { frame } = view.get()
  const by = { ArrowLeft: -1, ArrowRight: 1, PageUp: -10, PageDown: 10 }[e.key]
  const to = { Home: 0, End: frames - 1 }[e.key]
  if (e.key === ' ') play()
  else if (to !== undefined) goTo(to, frames)
  else if (by !== undefined) {
    stop()
    goTo(frame + by * (e.shiftKey ? 10 : 1), frames)
  } else return false
  e.preventDefault()
  return true
}

function startOf(shot: ShotState, id: string): number {
  return shot.shot.elements.find((e) => e.id === id)?.startFrame ?? 0
}

function trim(rate: number): string {
  return Number(rate.toFixed(3)).toString()
}
