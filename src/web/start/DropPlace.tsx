import { FileTrigger } from 'react-aria-components'
import type { Folder } from '../../server/protocol.js'
import { Act } from '../parts/Act.js'
import { Choose } from '../parts/Choose.js'
import { choose } from '../state/acts.js'
import { api } from '../state/api.js'
import { attempt } from '../state/session.js'
import { bringDrop, bringFiles } from './bring.js'

interface Props {
  readonly part: 'plate' | 'element'
  readonly title: string
  readonly what: string
  readonly taken: string | undefined
  readonly media: Folder['media']
}

/** A place to drop a file on, or to choose it. */
export function DropPlace({ part, title, what, taken, media }: Props) {
  const take = async (path: string) => {
    await api.media(path)
    await choose(path, part)
  }
  return (
    <section
      className={taken === undefined ? 'drop-place' : 'drop-place taken'}
      aria-label={title}
      onDragOver={(e) => e.preventDefault()}
      onDrop={(e) => {
        e.preventDefault()
        e.stopPropagation()
        void bringDrop(e.dataTransfer, part)
      }}
    >
      <h2>{title}</h2>
      <p>{taken ?? what}</p>
      <div className="acts">
        <FileTrigger allowsMultiple onSelect={(files) => void bringFiles([...(files ?? [])], part)}>
          <Act onPress={() => {}} label={`Choose ${title.toLowerCase()}`}>
            Choose…
          </Act>
        </FileTrigger>
        {media.length > 0 && (
          <Choose
            label={`${title} from the folder`}
            hideLabel
            placeholder="or from the folder"
            value={taken}
            options={media.map((m) => [m.path, m.path] as const)}
            onChange={(path) => void attempt(() => take(path))}
          />
        )}
      </div>
    </section>
  )
}
