import { useState } from 'react'
import type { DeliveryFormat } from '../../media/index.js'
import { Act } from '../parts/Act.js'
import { Choose } from '../parts/Choose.js'
import { startJob } from '../state/acts.js'

const FORMATS: readonly (readonly [DeliveryFormat, string])[] = [
  ['prores-422-hq', 'ProRes 422 HQ'],
  ['prores-4444', 'ProRes 4444'],
  ['dnxhr-hqx', 'DNxHR HQX'],
  ['h264-preview', 'H.264 to look at'],
  ['exr-half', 'OpenEXR, half'],
  ['png-16', 'PNG, 16 bit'],
]

export function RenderAct({ next, disabled }: { next: boolean; disabled: boolean }) {
  const [format, setFormat] = useState<DeliveryFormat>('prores-422-hq')
  return (
    <span className="render">
      <Act next={next} disabled={disabled} onPress={() => void startJob({ kind: 'render', format })}>
        Render
      </Act>
      <Choose
        label="Format"
        hideLabel
        value={format}
        options={FORMATS}
        onChange={(f) => setFormat(f as DeliveryFormat)}
      />
    </span>
  )
}
