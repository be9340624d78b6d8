import type { ElementPlace } from '../../engine/places.js'
import type { ShotElement } from '../../shot/schema.js'

/** What of its track is known on this frame is all well with these. */
const KNOWN: readonly ElementPlace['track'][] = ['tracked', 'corrected']
const STATES = {
  bridged: 'is hidden on this frame and carried over from both sides',
  lost: 'is lost on this frame: where it lies there is a guess',
  outside: 'was not followed on this frame: it stays where it was last seen',
} as const

/** Which track an element goes with, and what is wrong with it on the frame that is shown. */
export function Following({ element, place }: { element: ShotElement; place: ElementPlace | undefined }) {
  const { follow } = element
  const problem = place?.problem
  if (problem !== undefined)
    return (
      <p className="following wrong">
        {problem.what}. {problem.remedy}
      </p>
    )
  if (follow === undefined) return null
  const state = place?.track
  return (
    <p className="following">
      Goes with the track {follow.track}. Centre and scale are those on its reference frame.
      {state !== undefined && !KNOWN.includes(state) && (
        <b> The track {STATES[state as keyof typeof STATES]}.</b>
      )}
    </p>
  )
}
