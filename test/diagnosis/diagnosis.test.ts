/** A part of the table (`npm run diagnosis` makes all of it): the strongest of each kind of fault, and clean files of each kind. */
import { describe, expect, it } from 'vitest'
import { clean } from './clean.js'
import { faults } from './faults.js'
import { linesOf } from './score.js'

const strongest = faults.filter((c) => /-3$/.test(c.name) && !/bt2020/.test(c.name))
const varied = clean.filter((c) =>
  /-(day|dark|fog|flat|neon|hlg|day-handheld|element-png|on-black)$/.test(c.name),
)

describe('diagnosis', () => {
  it('names the strongest fault of each kind and no other', async () => {
    const lines = await linesOf(strongest)
    expect(lines.filter((l) => l.mark !== 'right')).toEqual([])
    expect(lines.length).toBeGreaterThanOrEqual(20)
  })

  it('finds no fault in clean files', async () => {
    const lines = await linesOf(varied)
    expect(lines.filter((l) => l.mark !== 'right')).toEqual([])
    expect(lines).toHaveLength(10)
  })
})
