import { useEffect, useState } from 'react'
import type { ElementState } from '../../server/protocol.js'
import type { Shot, ShotElement } from '../../shot/schema.js'
import { NumberField } from '../parts/NumberField.js'
import { edit } from '../state/acts.js'
import { placeDraft } from '../state/draft.js'
import { places } from '../state/places.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'
import { CameraField } from './CameraField.js'
import { Following } from './Following.js'

interface Props {
  readonly element: ShotElement
  readonly state: ElementState
  readonly camera: Shot['camera']
}

/** Where the element stands, how large it is, and when it begins. */
export function PlaceRow({ element, state, camera }: Props) {
  /** A real height that was typed before what it needs: it is taken when that is there. */
  const [height, setHeight] = useState<number>()
  const lacking = [
    element.distanceM === undefined && 'distance',
    camera.sensorWidthMm === undefined && 'sensor width',
    camera.focalLengthMm === undefined && 'focal length',
  ].filter((name) => name !== false)
  const ready = height !== undefined && lacking.length === 0
  useEffect(() => {
    if (!ready) return
    setHeight(undefined)
    void edit({ kind: 'place', element: element.id, heightM: height })
  }, [ready, element.id, height])
  const change = useStore(view, (v) => v.draft)
  const mine = placeDraft(element.id, change)
  const base = { kind: 'place', element: element.id } as const
  const held = change?.kind === 'hand' && change.element === element.id ? change : undefined
  const now = useStore(places, (p) => p.now?.elements.find((e) => e.id === element.id))
  const { x, y } = (held && now?.position) ?? element.position
  const scale = (held && now?.scale) ?? state.scale
  return (
    <div className="place">
      <NumberField
        label="Distance"
        unit="m"
        value={element.distanceM}
        min={0.01}
        digits={2}
        onCommit={(v) => void edit({ ...base, distanceM: v ?? null })}
      />
      <NumberField
        label="Real height"
        unit="m"
        value={
          height ?? (held?.scale === undefined && held?.corner === undefined ? state.heightM : undefined)
        }
        min={0.001}
        digits={3}
        onCommit={setHeight}
      />
      <NumberField
        label="Scale"
        unit="%"
        value={scale === undefined ? undefined : scale * 100}
        min={0.1}
        digits={2}
        onCommit={(v) => v !== undefined && void edit({ ...base, scale: v / 100 })}
      />
      <NumberField
        label="Start frame"
        value={mine?.startFrame ?? element.startFrame}
        onCommit={(v) => void edit({ ...base, startFrame: v ?? 0 })}
      />
      <NumberField
        label="Centre x"
        value={x}
        digits={1}
        unit="px"
        onCommit={(v) => v !== undefined && void edit({ ...base, position: { x: v, y } })}
      />
      <NumberField
        label="Centre y"
        value={y}
        digits={1}
        unit="px"
        onCommit={(v) => v !== undefined && void edit({ ...base, position: { x, y: v } })}
      />
      <CameraField camera={camera} field="sensorWidthMm" />
      <CameraField camera={camera} field="focalLengthMm" />
      <Following element={element} place={now} />
      {height !== undefined && !ready && (
        <p className="lacking">The real height counts once these are known: {lacking.join(', ')}.</p>
      )}
    </div>
  )
}
