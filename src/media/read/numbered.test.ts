import { describe, expect, it } from 'vitest'
import { seriesOf } from './numbered.js'

const patterns = (names: readonly string[]) => seriesOf(names).map((s) => [s.pattern, s.names.length])

// The rule stands at the head of the module.
describe('pictures of a folder', () => {
  it('are sequences where their numbers count frames, or eight are numbered alike', () => {
    expect(patterns(['a.01.png', 'a.02.png', 'm_01.png', 'm_02.png', 'n.txt', 'x.png'])).toEqual([
      ['a.##.png', 2],
      [undefined, 2],
      [undefined, 1],
    ])
    expect(patterns(['IMG_0001.jpg', 'IMG_0002.jpg', 'fire0001.exr', 'fire0002.exr'])).toEqual([
      [undefined, 2],
      ['fire####.exr', 2],
    ])
    const many = Array.from({ length: 12 }, (_, i) => `spark_${i + 1}.png`)
    expect(patterns(many)).toEqual([['spark_#.png', 12]])
  })

  it('keep padded numbers together when they outgrow their zeros', () => {
    const names = Array.from({ length: 12 }, (_, i) => `s_${String(i + 1).padStart(2, '0')}.png`)
    expect(patterns(names)).toEqual([['s_##.png', 12]])
  })
})
