import type { Shot, ShotElement } from '../../shot/schema.js'
import { Act } from '../parts/Act.js'
import { Choose } from '../parts/Choose.js'
import { NumberField } from '../parts/NumberField.js'
import { edit } from '../state/session.js'
import { view } from '../state/view.js'
import type { Link } from './telling.js'

const CAMERA = [
  ['sensorWidthMm', 'Sensor width', 'mm'],
  ['focalLengthMm', 'Focal length', 'mm'],
  ['fNumber', 'f-number', undefined],
  ['focusM', 'Focus', 'm'],
] as const
const NATURES = [
  ['emits', 'emits light'],
  ['absorbs', 'absorbs light'],
  ['reflects', 'reflects light'],
] as const

/** What only a person can say about a link. */
export function Facts({ link, shot, element }: { link: Link; shot: Shot; element: ShotElement | undefined }) {
  if (link === 'lens' || link === 'place')
    return (
      <div className="place">
        {CAMERA.map(([field, label, unit]) => (
          <NumberField
            key={field}
            label={label}
            {...(unit === undefined ? {} : { unit })}
            value={shot.camera[field]}
            min={0.001}
            digits={2}
            onCommit={(v) => void edit({ kind: 'camera', field, value: v ?? null })}
          />
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
      <Compare element={element} shot={shot} />
    </div>
  )
}

/** The plate region of like distance and material. */
function Compare({ element }: { element: ShotElement; shot: Shot }) {
  const draw = () =>
    view.set({ drawing: element.compareWith ?? { x: 0, y: 0, width: 160, height: 90 }, playing: false })
  return (
    <p className="acts">
      <Act quiet onPress={draw}>
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
