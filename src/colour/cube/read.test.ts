import { describe, expect, it } from 'vitest'
import { Problem } from '../../core/index.js'
import { readCube } from './read.js'

const small = `\ufeff# a lattice\r
TITLE "Evening # 2"

LUT_3D_SIZE 2
DOMAIN_MIN -0.5 0 0
DOMAIN_MAX 1 1. 2e0
# red runs fastest
0 0 0
\t1 0  0
0 1 0
1 1 0
0 0 1
1 0 1
0 1 1
+1 1 -.25`

function fault(text: string) {
  try {
    readCube(text, 'view.cube')
  } catch (error) {
    if (error instanceof Problem) return error.detail
    throw error
  }
  throw new Error('no fault')
}

describe('reading a table', () => {
  it('reads title, size, domain and entries through comments, blanks and either line end', () => {
    const table = readCube(small, 'view.cube')
    expect({ ...table, entries: [...table.entries] }).toEqual({
      dimensions: 3,
      size: 2,
      title: 'Evening # 2',
      domain: { min: [-0.5, 0, 0], max: [1, 1, 2] },
      entries: [0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 0, 0, 1, 1, 0, 1, 0, 1, 1, 1, 1, -0.25],
    })
    expect(readCube('LUT_1D_SIZE 2\n0 0 0\n1 1 1\n\n', 'a')).toMatchObject({
      dimensions: 1,
      domain: { min: [0, 0, 0], max: [1, 1, 1] },
    })
  })

  it("takes the input range of makers' tables as the domain of every channel", () => {
    const text = 'LUT_1D_SIZE 2\nLUT_1D_INPUT_RANGE -0.1 1.5\n0 0 0\n1 1 1\n'
    expect(readCube(text, 'a').domain).toEqual({ min: [-0.1, -0.1, -0.1], max: [1.5, 1.5, 1.5] })
  })

  it.each([
    ['DOMAIN_MIN 0 0 0\nLUT_3D_INPUT_RANGE 0 1\n', 2, 'one', 'LUT_3D_INPUT_RANGE 0 1'],
    ['LUT_3D_INPUT_RANGE 0\n', 1, 'two numbers', '0'],
    ['', 0, 'LUT_1D_SIZE or LUT_3D_SIZE before the numbers', 'none'],
    ['0 0 0\n', 1, 'LUT_1D_SIZE or LUT_3D_SIZE before the numbers', 'none'],
    ['LUT_3D_SIZE 1\n', 1, '2 to 256', '1'],
    ['LUT_3D_SIZE 257\n', 1, '2 to 256', '257'],
    ['LUT_1D_SIZE many\n', 1, '2 to 65536', 'many'],
    ['LUT_1D_SIZE 2\nLUT_3D_SIZE 2', 2, 'LUT_1D_SIZE or LUT_3D_SIZE, once', 'LUT_3D_SIZE 2'],
    ['LUT_1D_SIZE 2\n0 0 0\n', 2, '2 lines of R G B', '1'],
    ['LUT_1D_SIZE 2\n0 0 0\n1 1 1\n1 1 1', 4, '2', '1 1 1'],
    ['LUT_1D_SIZE 2\n0 0\n', 2, 'three numbers', '0 0'],
    ['LUT_1D_SIZE 2\n# fine\n0 0 0 0\n', 3, 'three numbers', '0 0 0 0'],
    ['LUT_1D_SIZE 2\n0 nan 0\n', 2, 'three numbers', '0 nan 0'],
    ['LUT_1D_SIZE 2\nnan 0 0\n', 2, 'three numbers', 'nan 0 0'],
    ['LUT_1D_SIZE 2\n0 0x1 0\n', 2, 'three numbers', '0 0x1 0'],
    ['LUT_1D_SIZE 2\n0 1e999 0\n', 2, 'three numbers', '0 1e999 0'],
    ['LUT_1D_SIZE 2\n0 1e39 0\n', 2, 'three numbers', '0 1e39 0'],
    ['LUT_1D_SIZE 2\n0 0 0\nTITLE "late"\n', 3, 'R G B', 'TITLE "late"'],
    ['TITLE bare\n', 1, 'words in double quotes', 'bare'],
    ['TITLE "a"\nTITLE "b"\n', 2, 'one', 'TITLE "b"'],
    ['GAIN 2\n', 1, 'TITLE, DOMAIN_MIN, DOMAIN_MAX, LUT_1D_SIZE, LUT_3D_SIZE or numbers', 'GAIN'],
    ['DOMAIN_MIN 0\n', 1, 'three numbers', '0'],
    ['DOMAIN_MAX 1 1 1\nDOMAIN_MAX 1 1 1\n', 2, 'one', 'DOMAIN_MAX 1 1 1'],
    ['DOMAIN_MAX 1 0 1\nLUT_1D_SIZE 2\n0 0 0\n1 1 1', 4, 'DOMAIN_MIN below DOMAIN_MAX', '0 0 0 to 1 0 1'],
  ])('says what is wrong and in which line: %j', (text, line, expected, received) => {
    expect(fault(text)).toMatchObject({
      code: 'colour.cube-content',
      where: `view.cube, line ${line}`,
      expected,
      received,
    })
  })
})
