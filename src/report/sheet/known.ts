/** What was told, and what was not and would have answered a line. */
import type { KnownFacts, SuitResult } from '../../engine/suit/types.js'
import { formatCount } from '../format.js'

type Pair = readonly [string, string]

export function knownWords(k: KnownFacts, r: SuitResult): { told: Pair[]; missing: string[] } {
  const told: Pair[] = [
    ['plate', r.plate.facts],
    ['grain', r.plate.grain],
  ]
  const add = (name: string, value: string | undefined) => {
    if (value !== undefined) told.push([name, value])
  }
  add('stands at', k.at && `${k.at.x}, ${k.at.y} px`)
  add('size', sizeWords(k))
  add('has to last', k.frames === undefined ? undefined : formatCount(k.frames, 'frame'))
  add('rate of pictures', k.rate && `${k.rate.num}${k.rate.den === 1 ? '' : `/${k.rate.den}`} frames/s`)
  add('nature', k.nature)
  add('exposure', k.stops === undefined ? undefined : `${k.stops} stops`)
  add('camera height', pairOf(metres(k.cameraHeightM), metres(k.elementCameraHeightM)))
  add('light from', pairOf(k.lightSide, k.elementLightSide))
  return { told, missing: missing(r) }
}

function sizeWords(k: KnownFacts): string | undefined {
  if (k.scale !== undefined) return `${k.scale} plate px per element px`
  if (k.heightPx !== undefined) return `${k.heightPx} plate px tall`
  if (k.heightM === undefined) return undefined
  const lens =
    k.focalLengthMm !== undefined && k.sensorWidthMm !== undefined
      ? `, ${k.focalLengthMm} mm on ${k.sensorWidthMm} mm`
      : ''
  return `${k.heightM} m tall${k.distanceM === undefined ? '' : ` at ${k.distanceM} m`}${lens}`
}

function metres(v: number | undefined): string | undefined {
  return v === undefined ? undefined : `${v} m`
}

function pairOf(plate: string | undefined, element: string | undefined): string | undefined {
  if (plate === undefined && element === undefined) return undefined
  return `plate ${plate ?? 'not told'}, element ${element ?? 'not told'}`
}

/** What the lines that cannot be told ask for, each once. */
function missing(r: SuitResult): string[] {
  const asks = r.elements.flatMap((e) =>
    e.lines.flatMap((l) =>
      l.verdict === 'cannot tell' && l.remedy?.startsWith('tell ') ? [l.remedy.slice(5)] : [],
    ),
  )
  return [...new Set(asks)]
}
