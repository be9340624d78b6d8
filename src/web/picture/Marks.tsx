import type { ShotState } from '../../server/protocol.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'
import { Drawn } from './Drawn.js'
import { Outline } from './Outline.js'

/** What is drawn over the picture: elements' borders, the place to compare with, the tell that is looked at. */
export function Marks({ shot, toPlate }: { shot: ShotState; toPlate: number }) {
  const { selected, drawing, tell, frame, playing } = useStore(view, (v) => v)
  const { width, height } = shot.plate
  const compared = shot.shot.elements.find((e) => e.id === selected)?.compareWith
  const told = tell === undefined ? undefined : shot.check?.tells[tell]
  return (
    <svg className={playing ? 'marks playing' : 'marks'} viewBox={`0 0 ${width} ${height}`}>
      <title>Elements on the picture</title>
      {shot.shot.elements.map((e, i) => {
        const state = shot.elements[i]
        return state && state.width > 0 && <Outline key={e.id} element={e} state={state} toPlate={toPlate} />
      })}
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
