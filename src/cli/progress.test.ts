import { expect, it } from 'vitest'
import type { Progress } from '../engine/types.js'
import { ProgressLine, progressText } from './progress.js'

const half: Progress = { stage: 'render', done: 120, total: 240, framesPerSecond: 8.06, secondsLeft: 14.9 }

function terminal(isTTY: boolean) {
  const written: string[] = []
  const stream = { isTTY, columns: 40, write: (text: string) => written.push(text) }
  return { written, line: new ProgressLine(stream as unknown as NodeJS.WriteStream) }
}

it('says stage, frames, speed and time left', () => {
  expect(progressText(half)).toBe('render   120/240 frames  8.1 frames/s  0:15 left')
  expect(progressText({ ...half, secondsLeft: 3725 })).toContain('1:02:05 left')
})

it('says which of several files it is', () => {
  expect(progressText({ ...half, stage: 'diagnose', item: 'smoke.mov (2 of 5)' })).toBe(
    'diagnose  smoke.mov (2 of 5)  120/240 frames  8.1 frames/s  0:15 left',
  )
})

it('says no time left where there is none to say', () => {
  expect(progressText({ ...half, done: 0, framesPerSecond: 0, secondsLeft: Number.POSITIVE_INFINITY })).toBe(
    'render   0/240 frames',
  )
  expect(progressText({ ...half, done: 240, secondsLeft: 0 })).not.toContain('left')
})

it('rewrites one line that fits the terminal, not for every frame, and clears it', () => {
  const { written, line } = terminal(true)
  line.show(half)
  line.show({ ...half, done: 121 })
  expect(written).toHaveLength(1)
  expect(written[0]?.replace('\r', '').replace('\x1b[K', '').length).toBeLessThan(40)
  line.show({ ...half, done: 240 })
  line.clear()
  expect(written).toHaveLength(3)
  expect(written[2]).toBe('\r\x1b[K')
})

it('keeps silent where standard error is a file', () => {
  const { written, line } = terminal(false)
  line.show(half)
  line.clear()
  expect(written).toEqual([])
})
