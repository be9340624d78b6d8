import { useEffect, useState } from 'react'
import type { Values as Read, ShotState } from '../../server/protocol.js'
import { api } from '../state/api.js'
import { useStore } from '../state/store.js'
import { VIEW_NAMES, view } from '../state/view.js'
import { PointFields } from './PointFields.js'

/** A pointer that moves is followed at this pace. */
const PACE_MS = 70

/** What stands under the pointer, of the picture that is shown there. */
export function Values({ shot }: { shot: ShotState }) {
  const { point, frame, width, shown, against, cut } = useStore(view, (v) => v)
  const [read, setRead] = useState<Read>()
  useEffect(() => {
    if (point === undefined || width === 0) return setRead(undefined)
    let late = false
    const timer = setTimeout(() => {
      const ask = { path: shot.path, number: frame, x: point[0], y: point[1], width }
      api.values(ask).then(
        (v) => late || setRead(v),
        () => late || setRead(undefined),
      )
    }, PACE_MS)
    return () => {
      late = true
      clearTimeout(timer)
    }
  }, [shot.path, point, frame, width])
  const of =
    against !== undefined && point !== undefined && point[0] / shot.plate.width > cut ? against : shown
  const r = read?.[of]
  return (
    <div className="values">
      <PointFields plate={shot.plate} />
      {r === undefined || point === undefined ? (
        <span className="soft">Values of the pixel under the pointer stand here.</span>
      ) : (
        <>
          <b>{VIEW_NAMES[of]}</b>
          <Group name="light" text={r.linear.map((v) => v.toFixed(3))} />
          <Group name="code" text={r.code.map((v) => v.toFixed(0))} />
          <Group
            name="stops from 18 %"
            short="stops"
            text={r.stops.map((v) => (v === null ? 'none' : signed(v)))}
          />
          <Group name="hue, saturation, brightness" short="HSB" text={hsb(r.hsb)} />
        </>
      )}
    </div>
  )
}

function Group({ name, short = name, text }: { name: string; short?: string; text: readonly string[] }) {
  return (
    <span className="group" title={name}>
      <i>{short}</i>
      {text.map((t, i) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: channels stay in their order
        <span key={i}>{t}</span>
      ))}
    </span>
  )
}

function hsb([h = 0, s = 0, b = 0]: readonly number[]): string[] {
  return [`${h.toFixed(0)}°`, `${(s * 100).toFixed(0)} %`, `${(b * 100).toFixed(0)} %`]
}

function signed(v: number): string {
  return v < 0 ? `−${(-v).toFixed(1)}` : `+${v.toFixed(1)}`
}
