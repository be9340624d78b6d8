import { Act } from '../parts/Act.js'
import { openShot } from '../state/acts.js'
import { session, shotName } from '../state/session.js'
import { useStore } from '../state/store.js'
import { DropPlace } from './DropPlace.js'

/** The first screen of a folder without a shot. */
export function Start() {
  const { folder, bringing, plate, element } = useStore(session, (s) => s)
  if (folder === undefined) return null
  return (
    <main className="start">
      <h1>{folder.name}</h1>
      <p className="lead">
        A shot begins with a plate and something to put into it. Drop files or folders anywhere; they are
        copied into this folder, and nothing in it is overwritten.
      </p>
      {folder.more && (
        <p className="soft">
          This folder holds too many files to list: some that lie deep in it are not offered below.
        </p>
      )}
      <div className="places">
        <DropPlace
          part="plate"
          title="The plate"
          what="A movie, or a folder of numbered pictures."
          taken={plate}
          media={folder.media}
        />
        <DropPlace
          part="element"
          title="An element"
          what="Fire, smoke, blood, sparks, debris, a person: a movie, a sequence or a still."
          taken={element}
          media={folder.media}
        />
      </div>
      {(plate ?? element) !== undefined && (
        <p className="acts">
          <Act quiet onPress={() => session.set({ plate: element, element: plate })}>
            Swap plate and element
          </Act>
        </p>
      )}
      <p className="soft" role="status">
        {bringing === undefined ? '' : `Bringing ${bringing}…`}
      </p>
      {folder.shots.length > 0 && (
        <p className="acts">
          Or go on with{' '}
          {folder.shots.map((s) => (
            <Act key={s} quiet onPress={() => void openShot(s)}>
              {shotName(s)}
            </Act>
          ))}
        </p>
      )}
    </main>
  )
}
