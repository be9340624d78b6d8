import { Switch } from 'react-aria-components'
import type { FrameView, ShotState } from '../../server/protocol.js'
import { Choice } from '../parts/Choice.js'
import { Stepper } from '../parts/Stepper.js'
import { useStore } from '../state/store.js'
import { type Channel, view } from '../state/view.js'

const VIEWS: readonly (readonly [FrameView, string])[] = [
  ['plate', 'Plate'],
  ['plain', 'Plain over'],
  ['result', 'Result'],
]
const CHANNELS: readonly (readonly [Channel, string])[] = [
  ['all', 'All'],
  ['red', 'R'],
  ['green', 'G'],
  ['blue', 'B'],
]

/** How the picture is looked at. */
export function Looking({ shot: { shot } }: { shot: ShotState }) {
  const { shown, against, channel, stops, marked } = useStore(view, (v) => v)
  return (
    <div className="looking">
      <Choice label="Show" value={shown} options={VIEWS} onChange={(v) => view.set({ shown: v })} />
      <Choice
        label="Wipe to"
        value={against ?? 'none'}
        options={[['none', 'None'], ...VIEWS.filter(([v]) => v !== shown)]}
        onChange={(v) => view.set({ against: v === 'none' ? undefined : v })}
      />
      <Choice label="Channel" value={channel} options={CHANNELS} onChange={(v) => view.set({ channel: v })} />
      <Stepper label="Stops" value={stops} min={-6} max={6} onChange={(v) => view.set({ stops: v })} />
      {shot.shapes.length + shot.tracks.length > 0 && (
        <Switch className="marked" isSelected={marked} onChange={(on) => view.set({ marked: on })}>
          <i className="switch" />
          Shapes and tracks
        </Switch>
      )}
    </div>
  )
}
