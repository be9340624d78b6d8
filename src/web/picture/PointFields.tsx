import type { PlateState } from '../../server/protocol.js'
import { NumberField } from '../parts/NumberField.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'

/** Where the values are read: follows the pointer, and is typed by whoever has none. */
export function PointFields({ plate }: { plate: PlateState }) {
  const point = useStore(view, (v) => v.point)
  const [x, y] = point ?? [undefined, undefined]
  const at = (nx: number | undefined, ny: number | undefined) => view.set({ point: [nx ?? 0, ny ?? 0] })
  return (
    <span className="point">
      <NumberField label="x" value={x} min={0} max={plate.width - 1} onCommit={(v) => at(v, y)} />
      <NumberField label="y" value={y} min={0} max={plate.height - 1} onCommit={(v) => at(x, v)} />
    </span>
  )
}
