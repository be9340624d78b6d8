import type { ShotState } from '../server/protocol.js'
import { Files } from './files/Files.js'
import { Ledger } from './ledger/Ledger.js'
import { Looking } from './picture/Looking.js'
import { Picture } from './picture/Picture.js'
import { Values } from './picture/Values.js'
import { Ruler } from './ruler/Ruler.js'
import { session } from './state/session.js'
import { useStore } from './state/store.js'
import { Tells } from './tells/Tells.js'
import { TopLine } from './top/TopLine.js'

/** A shot at work: the picture, its frames under it, the ledger beside it, what it is made of and what gives it away below. */
export function Work({ shot }: { shot: ShotState }) {
  const bringing = useStore(session, (s) => s.bringing)
  return (
    <div className="work">
      <TopLine shot={shot} />
      <main>
        <div className="band">
          {shot.plate.width > 0 ? (
            <>
              <Looking shot={shot} />
              <Picture shot={shot} />
              <Values shot={shot} />
            </>
          ) : (
            <p className="absent">
              The plate cannot be opened, so there is no picture. What is wrong stands beside its name below.
            </p>
          )}
        </div>
        {shot.plate.frames > 0 && <Ruler shot={shot} />}
        <div className={shot.check === undefined ? 'below unchecked' : 'below'}>
          <Files shot={shot} />
          <Tells shot={shot} />
        </div>
      </main>
      <Ledger shot={shot} />
      <p className="bringing soft" role="status">
        {bringing === undefined ? '' : `Bringing ${bringing}…`}
      </p>
    </div>
  )
}
