import type { Places, TrackPlace } from '../../engine/places.js'
import { pointsOf } from './points.js'

interface Props {
  readonly places: Places
  /** Plate pixels to the pixel of the screen. */
  readonly toPlate: number
}

/** Shapes, and what tracks follow, as they lie on this frame: to be seen, not to be held. */
export function Ground({ places, toPlate }: Props) {
  return (
    <g className="ground">
      {places.shapes.map(({ id, outline }) => (
        <g key={id} className="shape">
          <polygon points={pointsOf(outline)} />
          <Name id={id} at={outline[0]} toPlate={toPlate} />
        </g>
      ))}
      {places.tracks.map((t) => (
        <Followed key={t.id} track={t} toPlate={toPlate} />
      ))}
    </g>
  )
}

function Followed({ track, toPlate }: { track: TrackPlace; toPlate: number }) {
  const { id, state, points, region } = track
  const unknown = state === 'lost' || state === 'outside'
  const arm = 5 * toPlate
  return (
    <g className={unknown ? 'track unknown' : 'track'}>
      {region.length > 0 && <polygon points={pointsOf(region)} />}
      {points.map(([x, y], i) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: points stay in their order
        <path key={i} d={`M${x - arm},${y}h${2 * arm}M${x},${y - arm}v${2 * arm}`} />
      ))}
      <Name id={unknown ? `${id}, lost` : id} at={region[0] ?? points[0]} toPlate={toPlate} />
    </g>
  )
}

function Name({
  id,
  at,
  toPlate,
}: {
  id: string
  at: readonly [number, number] | undefined
  toPlate: number
}) {
  if (at === undefined) return null
  return (
    <text x={at[0] + 7 * toPlate} y={at[1] - 5 * toPlate} fontSize={11 * toPlate}>
      {id}
    </text>
  )
}
