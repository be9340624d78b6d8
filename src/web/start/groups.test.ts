import { describe, expect, it } from 'vitest'
import { type Brought, sorted } from './groups.js'

const dropped = (...names: string[]) => names.map((name) => ({ name, file: {} }) as Brought)
const names = (groups: readonly Brought[][]) => groups.map((g) => g.map((f) => f.name))

describe('dropped files', () => {
  it('numbered pictures are one sequence with a folder of its own', () => {
    const { groups } = sorted(dropped('soot.0002.png', 'shore.mov', 'soot.0001.png'))
    expect(names(groups)).toEqual([['soot/soot.0001.png', 'soot/soot.0002.png'], ['shore.mov']])
  })

  it('what is neither movie nor picture is told, unless it came inside a folder of pictures', () => {
    expect(sorted(dropped('notes.txt', 'a.png')).wrong.map((f) => f.name)).toEqual(['notes.txt'])
    expect(sorted(dropped('soot/licence.txt', 'soot/a.png')).wrong).toEqual([])
    expect(sorted(dropped('soot/licence.txt')).wrong.map((f) => f.name)).toEqual(['soot/licence.txt'])
    expect(sorted(dropped('.DS_Store', 'soot/.hidden/a.png'))).toEqual({ groups: [], wrong: [] })
  })
})
