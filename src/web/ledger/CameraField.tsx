import type { Shot } from '../../shot/schema.js'
import { NumberField } from '../parts/NumberField.js'
import { edit } from '../state/acts.js'

const NAMES = {
  sensorWidthMm: ['Sensor width', 'mm'],
  focalLengthMm: ['Focal length', 'mm'],
  fNumber: ['f-number', undefined],
  focusM: ['Focus', 'm'],
} as const

/** One thing about the camera that only a person can say. */
export function CameraField({ camera, field }: { camera: Shot['camera']; field: keyof typeof NAMES }) {
  const [label, unit] = NAMES[field]
  return (
    <NumberField
      label={label}
      {...(unit === undefined ? {} : { unit })}
      value={camera[field]}
      min={0.001}
      digits={2}
      onCommit={(v) => void edit({ kind: 'camera', field, value: v ?? null })}
    />
  )
}
