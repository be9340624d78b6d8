import type { ShotState } from '../../server/protocol.js'
import { places } from '../state/places.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'
import { Drawn } from './Drawn.js'
import { Ground } from './Ground.js'
import { Outline } from './Outline.js'

/** What is drawn over the picture: elements' borders, shapes and tracks, the place to compare with, the tell that is looked at. */
export function Marks({ shot, toPlate }: { shot: ShotState; toPlate: number }) {
  const { selected, drawing, tell, frame, playing, marked } = useStore(view, (v) => v)
  const now = useStore(places, (p) => (p.path === shot.path ? p.now : undefined))
  const { width, height } = shot.plate
  const compared = shot.shot.elements.find((e) => e.id === selected)?.compareWith
  const told = tell === undefined ? undefined : shot.check?.tells[tell]
  return (
    <svg className={playing ? 'marks playing' : 'marks'} viewBox={`0 0 ${width} ${height}`}>
      <title>Elements on the picture</title>
      {now !== undefined && marked && <Ground places={now} toPlate={toPlate} />}
      {now?.elements.map((e) => (
        <Outline key={e.id} place={e} toPlate={toPlate} />
      ))}
      {compared !== undefined && drawing === undefined && (
        <g className="compared">
          <rect x={compared.x} y={compared.y} width={compared.width} height={compared.height} />
          <text x={compared.x} y={compared.y - 5 * toPlate} fontSize={12 * toPlate}>
            compared with{compared.frame === frame ? '' : `, frame ${compared.frame}`}
          </text>
        </g>
      )}
      {told !== undefined && <rect className="told" {...told.region} />}
      {drawing !== undefined && <Drawn width={width} height={height} toPlate={toPlate} />}
    </svg>
  )
}
