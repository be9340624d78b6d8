import { afterEach, expect, it, vi } from 'vitest'
import { tracker } from './progress.js'
import type { Progress } from './types.js'

afterEach(() => vi.useRealTimers())

it('tells no speed before there is one', () => {
  vi.useFakeTimers({ toFake: ['performance'] })
  const said: Progress[] = []
  const tick = tracker({ onProgress: (p) => said.push(p) }, 'render', 101, 1)
  vi.advanceTimersByTime(1)
  tick(2)
  expect(said[0]).toMatchObject({ framesPerSecond: 0, secondsLeft: Number.POSITIVE_INFINITY })
  // 50 frames in 5 s, and as many to go.
  vi.advanceTimersByTime(4999)
  tick(51)
  expect(said[1]).toMatchObject({ framesPerSecond: 10, secondsLeft: 5 })
})
