import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { askOpenColourIo, noOpenColourIo, openColourIo } from '../../../test/colour/openColourIo.js'
import type { Rgb } from '../../core/index.js'
import { applyCube, type CubeInterpolation, cube } from './apply.js'
import { readCube } from './read.js'

const forms: readonly CubeInterpolation[] = ['tetrahedral', 'trilinear']

function curveText(size: number, f: (x: number) => Rgb, head = ''): string {
  const rows = Array.from({ length: size }, (_, i) => f(i / (size - 1)).join(' '))
  return `${head}LUT_1D_SIZE ${size}\n${rows.join('\n')}\n`
}

function latticeText(size: number, f: (r: number, g: number, b: number) => Rgb, head = ''): string {
  const rows: string[] = []
  for (let b = 0; b < size; b++)
    for (let g = 0; g < size; g++)
      for (let r = 0; r < size; r++) rows.push(f(r / (size - 1), g / (size - 1), b / (size - 1)).join(' '))
  return `${head}LUT_3D_SIZE ${size}\n${rows.join('\n')}\n`
}

function near(got: Rgb, want: readonly number[], within: number): void {
  got.forEach((v, c) => {
    expect(Math.abs(v - want[c]!)).toBeLessThanOrEqual(within)
  })
}

let seed = 11
const chance = () => {
  seed = (seed * 48271) % 2147483647 // minimal standard generator of Park and Miller
  return seed / 2147483647
}
const points = (n: number, low: number, high: number): Rgb[] =>
  Array.from({ length: n }, () => [0, 0, 0].map(() => low + (high - low) * chance()) as unknown as Rgb)

describe('tables on colours', () => {
  it('an identity changes nothing, on its own domain too; an affine table is exact between its entries', () => {
    const wide = readCube(
      latticeText(5, (r, g, b) => [2 * r - 1, 3 * g, b], 'DOMAIN_MIN -1 0 0\nDOMAIN_MAX 1 3 1\n'),
      'wide',
    )
    const affine = readCube(
      latticeText(4, (r, g, b) => [0.2 * r + 0.5 * g + 0.1, 0.3 * g - 0.25 * b, b]),
      'affine',
    )
    const one = readCube(
      curveText(7, (x) => [x, 2 * x, 1 - x]),
      'one',
    )
    for (const p of points(200, 0, 1)) {
      for (const form of forms) {
        near(cube(wide, form)([2 * p[0] - 1, 3 * p[1], p[2]]), [2 * p[0] - 1, 3 * p[1], p[2]], 1e-6)
        const want = [0.2 * p[0] + 0.5 * p[1] + 0.1, 0.3 * p[1] - 0.25 * p[2], p[2]]
        near(cube(affine, form)(p), want, 1e-6)
      }
      near(cube(one)(p), [p[0], 2 * p[1], 1 - p[2]], 1e-6)
    }
  })

  it('a gamma is met within the bound of linear interpolation, h²/8 of its greatest second derivative', () => {
    // x^2.4: second derivative at most 3.36 at 1, so 3.36/8/64² = 1.03e-4 with 65 entries.
    const bound = 3.36 / 8 / 64 ** 2 + 1e-7
    const gamma = (x: number) => x ** 2.4
    const one = readCube(
      curveText(65, (x) => [gamma(x), gamma(x), gamma(x)]),
      'one',
    )
    const three = readCube(
      latticeText(65, (r, g, b) => [gamma(r), gamma(g), gamma(b)]),
      'three',
    )
    for (const p of points(300, 0, 1)) {
      near(cube(one)(p), p.map(gamma), bound)
      for (const form of forms) near(cube(three, form)(p), p.map(gamma), bound)
    }
  })

  it('tetrahedra keep greys grey, and follow the order of the fractions', () => {
    // Entries that differ off the diagonal only: on the diagonal no tetrahedron looks at them.
    const bent = readCube(
      latticeText(2, (r, g, b) => (r === g && g === b ? [r, g, b] : [r, g, 0.3])),
      'bent',
    )
    near(cube(bent)([0.4, 0.4, 0.4]), [0.4, 0.4, 0.4], 1e-7)
    expect(Math.abs(cube(bent, 'trilinear')([0.4, 0.4, 0.4])[2] - 0.4)).toBeGreaterThan(0.01)
    // By hand for the corners' numbers 0…7 (r + 2g + 4b, squared): edges of the path from black to white.
    const squares = readCube(
      latticeText(2, (r, g, b) => Array(3).fill((r + 2 * g + 4 * b) ** 2) as unknown as Rgb),
      's',
    )
    const path = (a: number, b: number, h: number, m: number, l: number) =>
      (h - m) * a ** 2 + (m - l) * b ** 2 + l * 49
    near(cube(squares)([0.7, 0.5, 0.2]), Array(3).fill(path(1, 3, 0.7, 0.5, 0.2)), 1e-6)
    near(cube(squares)([0.7, 0.2, 0.5]), Array(3).fill(path(1, 5, 0.7, 0.5, 0.2)), 1e-6)
    near(cube(squares)([0.5, 0.7, 0.2]), Array(3).fill(path(2, 3, 0.7, 0.5, 0.2)), 1e-6)
    near(cube(squares)([0.2, 0.7, 0.5]), Array(3).fill(path(2, 6, 0.7, 0.5, 0.2)), 1e-6)
    near(cube(squares)([0.5, 0.2, 0.7]), Array(3).fill(path(4, 5, 0.7, 0.5, 0.2)), 1e-6)
    near(cube(squares)([0.2, 0.5, 0.7]), Array(3).fill(path(4, 6, 0.7, 0.5, 0.2)), 1e-6)
  })

  it('holds what lies outside the domain to its edge, NaN to the lower one, and leaves alpha', () => {
    for (const text of [
      curveText(3, (x) => [x, x, x], 'DOMAIN_MIN 0.1 0.1 0.1\nDOMAIN_MAX 2 2 2\n'),
      latticeText(3, (r, g, b) => [r, g, b], 'DOMAIN_MIN 0.1 0.1 0.1\nDOMAIN_MAX 2 2 2\n'),
    ]) {
      for (const form of forms) {
        const data = Float32Array.of(-3, Number.POSITIVE_INFINITY, Number.NaN, 0.5, 0.1, 2, 1.05, 9)
        applyCube(data, readCube(text, 'held'), form)
        expect([...data].map((v) => Math.round(v * 1e5) / 1e5)).toEqual([0, 1, 0, 0.5, 0, 1, 0.5, 9])
      }
    }
  })

  it.skipIf(openColourIo === undefined)(
    `1,000 random colours as OpenColorIO has them (${noOpenColourIo})`,
    () => {
      const folder = mkdtempSync(join(tmpdir(), 'cube-'))
      try {
        const head = 'DOMAIN_MIN -0.25 0 0\nDOMAIN_MAX 1 1.5 1\n'
        const texts = [
          curveText(33, (x) => [x ** 2.2, Math.sin(3 * x), 1 - x * x]),
          latticeText(
            9,
            (r, g, b) => [r ** 2 * (1 - 0.3 * b), Math.sin(2 * g + r), b * (1 - r) + 0.2 * g],
            head,
          ),
        ]
        const files = texts.map((text, i) => {
          const file = join(folder, `${i}.cube`)
          writeFileSync(file, text)
          return file
        })
        const colours = points(1000, -0.4, 1.7)
        const answers = askOpenColourIo<number[][][]>(
          `
def through(file, form):
    return run(O.FileTransform(src=file, interpolation=form), job['colours'])
files = job['files']
print(json.dumps([through(files[0], O.INTERP_LINEAR),
  through(files[1], O.INTERP_TETRAHEDRAL), through(files[1], O.INTERP_LINEAR)]))`,
          { files, colours },
        )
        const ours = [
          cube(readCube(texts[0]!, '0')),
          cube(readCube(texts[1]!, '1')),
          cube(readCube(texts[1]!, '1'), 'trilinear'),
        ]
        ours.forEach((apply, k) => {
          for (const [i, p] of colours.entries()) near(apply(p), answers[k]![i]!, 5e-6)
        })
      } finally {
        rmSync(folder, { recursive: true })
      }
    },
  )
})
