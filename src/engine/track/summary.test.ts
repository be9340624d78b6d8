import { expect, it } from 'vitest'
import type { TrackData } from '../../shot/index.js'
import { summaryOf } from './summary.js'

// Limit: 2 px, as of a bridge; what is bridged or lost is counted there.
it('counts followed frames that are known to no more than 2 px', () => {
  const states = ['tracked', 'tracked', 'bridged', 'lost', 'corrected'] as const
  const spreads = [1.9, 2.1, 3, 9, 5]
  const frames = states.map((state, frame) => ({ frame, state, spreadPx: spreads[frame] }))
  const track = { id: 'wall', reference: 0, motion: 'homography', why: '', frames, jumps: [], said: [] }
  expect(summaryOf(track as unknown as TrackData)).toMatchObject({
    ...{ tracked: 3, bridged: 1, lost: 1, wide: 1, worstSpreadPx: 5, worstFrame: 4 },
  })
})
