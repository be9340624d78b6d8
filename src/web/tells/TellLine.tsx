import type { Tell } from '../../engine/types.js'
import { formatFrames } from '../../report/format.js'
import { Act } from '../parts/Act.js'
import { said } from '../parts/said.js'
import { edit } from '../state/acts.js'
import { api } from '../state/api.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'

interface Props {
  readonly path: string
  readonly tell: Tell
  readonly index: number
}

/** A sentence, its cause and remedy, and the place itself, plate beside result. */
export function TellLine({ path, tell, index }: Props) {
  const looked = useStore(view, (v) => v.tell) === index
  const of = { tell: tell.tell, ...(tell.element === undefined ? {} : { element: tell.element }) }
  const look = () => view.set({ frame: tell.frames[0], tell: looked ? undefined : index })
  return (
    <article className={looked ? 'tell looked' : 'tell'}>
      <p className="sentence">{said(tell.sentence)}</p>
      <div className="crops">
        {(['plate', 'result'] as const).map((role) => (
          <figure key={role}>
            <img src={api.crop(path, index, role)} alt={`${role} where it shows`} loading="lazy" />
            <figcaption>{role}</figcaption>
          </figure>
        ))}
      </div>
      <p className="soft">
        {said(tell.cause)} <span className="remedy">{said(tell.remedy)}</span>
      </p>
      <p className="acts">
        <Act quiet onPress={look}>
          {looked ? 'Hide the place' : `Show it, ${formatFrames(tell.frames)}`}
        </Act>
        {tell.meant ? (
          <Act quiet onPress={() => void edit({ kind: 'notMeant', ...of })}>
            It is not meant so
          </Act>
        ) : (
          <Act quiet onPress={() => void edit({ kind: 'meant', ...of, measured: tell.measured })}>
            It is meant so
          </Act>
        )}
      </p>
    </article>
  )
}
