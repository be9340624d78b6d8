import type { PlateState, ShotState } from '../../server/protocol.js'
import type { ShotElement } from '../../shot/schema.js'
import { Act } from '../parts/Act.js'
import { Choose } from '../parts/Choose.js'
import { NumberField } from '../parts/NumberField.js'
import { edit } from '../state/acts.js'
import { drawPlace } from '../state/view.js'
import { CameraField } from './CameraField.js'
import type { Link } from './telling.js'

const NATURES = [
  ['emits', 'emits light'],
  ['absorbs', 'absorbs light'],
  ['reflects', 'reflects light'],
] as const

interface Props {
  readonly link: Link
  readonly state: ShotState
  readonly element: ShotElement | undefined
}

/** What only a person can say about a link. */
export function Facts({ link, state, element }: Props) {
  const { shot, plate } = state
  if (link === 'lens')
    return (
      <div className="place">
        {(['sensorWidthMm', 'focalLengthMm', 'fNumber', 'focusM'] as const).map((field) => (
          <CameraField key={field} camera={shot.camera} field={field} />
        ))}
      </div>
    )
  if (link === 'air')
    return (
      <div className="place">
        <NumberField
          label="Visibility"
          unit="m"
          value={shot.site.visibilityM}
          min={1}
          digits={0}
          onCommit={(v) => void edit({ kind: 'site', field: 'visibilityM', value: v ?? null })}
        />
      </div>
    )
  if (link !== 'light' || element === undefined) return null
  return (
    <div className="facts">
      <Choose
        label="The element"
        value={typeof element.nature === 'string' ? element.nature : undefined}
        placeholder="mixes them"
        options={NATURES}
        onChange={(v) => void edit({ kind: 'nature', element: element.id, value: v as 'emits' })}
      />
      <Compare element={element} plate={plate} />
    </div>
  )
}

/** The plate region of like distance and material. */
function Compare({ element, plate }: { element: ShotElement; plate: PlateState }) {
  return (
    <p className="acts">
      <Act quiet onPress={() => drawPlace(element, plate)}>
        {element.compareWith === undefined
          ? 'Draw the place to compare with'
          : 'Draw another place to compare with'}
      </Act>
      {element.compareWith !== undefined && (
        <Act quiet onPress={() => void edit({ kind: 'compareWith', element: element.id, region: null })}>
          Compare with none
        </Act>
      )}
    </p>
  )
}
