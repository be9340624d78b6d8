import type { Fault } from '../../server/protocol.js'
import { Act } from '../parts/Act.js'
import { said } from '../parts/said.js'
import { edit } from '../state/acts.js'

/** A fault, what was or could be done about it, and the way back. */
export function FaultLine({ fault }: { fault: Fault }) {
  const { sentence, remedy, done, offer } = fault
  return (
    <p className="fault">
      {said(sentence)} {done === undefined && <span className="soft">{said(remedy)}</span>}
      {done !== undefined && (
        <>
          <span className="soft">{done.what}</span>
          <Act quiet label={`Undo: ${done.what}`} onPress={() => void edit(done.undo)}>
            Undo
          </Act>
        </>
      )}
      {offer !== undefined && (
        <Act quiet onPress={() => void edit(offer.edit)}>
          {offer.what}
        </Act>
      )}
    </p>
  )
}
