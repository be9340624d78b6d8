/**
 * The `.cube` text of a look-up table, as its published specification (version 1.0) has it:
 *
 *   # words                     a comment            TITLE "words"             at most once
 *   LUT_1D_SIZE n  2…65536      one of the two       DOMAIN_MIN r g b          0 0 0 when absent
 *   LUT_3D_SIZE n  2…256        sizes                DOMAIN_MAX r g b          1 1 1 when absent, above the minimum
 *   r g b                       after the keywords: n or n³ lines, red fastest
 *
 * Also `LUT_1D_INPUT_RANGE low high` and `LUT_3D_INPUT_RANGE low high`, which are not in the specification but stand in
 * many tables of camera makers (common practice): the domain of all three channels. Anything else is refused with its line.
 *
 * Source: [cube].
 */
import { Problem, type Rgb } from '../../core/index.js'
import type { CubeTable } from './table.js'

const NUMBER = /^[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?$/
const LARGEST = { LUT_1D_SIZE: 65536, LUT_3D_SIZE: 256 } as const
type Size = keyof typeof LARGEST

interface Head {
  title?: string
  size?: { readonly keyword: Size; readonly n: number }
  DOMAIN_MIN?: Rgb
  DOMAIN_MAX?: Rgb
}

/**
 * The table in a `.cube` text.
 *
 * @param file its name, for messages
 * @throws Problem `colour.cube-content`: what, line, expected and received
 */
export function readCube(text: string, file: string): CubeTable {
  const head: Head = {}
  let entries: Float32Array | undefined
  let filled = 0
  let line = 0
  const fail = (what: string, expected: string, received: string): never => {
    throw new Problem({
      code: 'colour.cube-content',
      what,
      where: `${file}, line ${line}`,
      expected,
      received,
    })
  }
  for (const raw of linesOf(text)) {
    line++
    const content = raw.trim()
    if (content === '' || content.startsWith('#')) continue
    if (/^[A-Z]/i.test(content) && !/^(nan|inf)/i.test(content)) {
      if (entries !== undefined) fail('a keyword stands after the numbers', 'R G B', content)
      keyword(content, head, fail)
      continue
    }
    entries ??= new Float32Array(3 * countOf(head, fail))
    if (filled === entries.length) fail('there are more lines than the size says', `${filled / 3}`, content)
    entries.set(three(content, fail), filled)
    filled += 3
  }
  const count = countOf(head, fail)
  if (entries === undefined || filled < entries.length) {
    fail('the table is cut short', `${count} lines of R G B`, `${filled / 3}`)
  }
  return tableOf(head, entries as Float32Array, fail)
}

type Fail = (what: string, expected: string, received: string) => never

function* linesOf(text: string): Generator<string> {
  let from = text.startsWith('\ufeff') ? 1 : 0
  while (from < text.length) {
    const end = text.indexOf('\n', from)
    yield end < 0 ? text.slice(from) : text.slice(from, end)
    if (end < 0) return
    from = end + 1
  }
}

function keyword(content: string, head: Head, fail: Fail): void {
  const [name = ''] = content.split(/\s/, 1)
  const rest = content.slice(name.length).trim()
  switch (name) {
    case 'TITLE': {
      const title = /^"(.*)"$/.exec(rest)?.[1]
      if (title === undefined) fail('TITLE is wrong', 'words in double quotes', rest)
      if (head.title !== undefined) fail('there is a second TITLE', 'one', content)
      head.title = title
      return
    }
    case 'DOMAIN_MIN':
    case 'DOMAIN_MAX':
      if (head[name] !== undefined) fail(`there is a second ${name}`, 'one', content)
      head[name] = three(rest, fail)
      return
    case 'LUT_1D_INPUT_RANGE':
    case 'LUT_3D_INPUT_RANGE': {
      if (head.DOMAIN_MIN !== undefined || head.DOMAIN_MAX !== undefined)
        fail('there is a second domain', 'one', content)
      const [low, high] = numbers(rest, 2, fail) as [number, number]
      head.DOMAIN_MIN = [low, low, low]
      head.DOMAIN_MAX = [high, high, high]
      return
    }
    case 'LUT_1D_SIZE':
    case 'LUT_3D_SIZE': {
      if (head.size !== undefined) fail('there is a second size', 'LUT_1D_SIZE or LUT_3D_SIZE, once', content)
      const n = /^\d+$/.test(rest) ? Number(rest) : 0
      if (n < 2 || n > LARGEST[name]) fail(`${name} is wrong`, `2 to ${LARGEST[name]}`, rest)
      head.size = { keyword: name, n }
      return
    }
    default:
      fail(
        'this keyword is unknown',
        'TITLE, DOMAIN_MIN, DOMAIN_MAX, LUT_1D_SIZE, LUT_3D_SIZE or numbers',
        name,
      )
  }
}

function three(content: string, fail: Fail): Rgb {
  return numbers(content, 3, fail) as [number, number, number]
}

function numbers(content: string, count: 2 | 3, fail: Fail): readonly number[] {
  const words = content.split(/\s+/)
  const values = words.map(Number)
  const good = words.every((w) => NUMBER.test(w)) && values.every((v) => Number.isFinite(Math.fround(v)))
  if (words.length !== count || !good) {
    return fail('this line is wrong', `${count === 3 ? 'three' : 'two'} numbers`, content)
  }
  return values
}

function countOf(head: Head, fail: Fail): number {
  if (head.size === undefined)
    return fail('the size is missing', 'LUT_1D_SIZE or LUT_3D_SIZE before the numbers', 'none')
  return head.size.keyword === 'LUT_1D_SIZE' ? head.size.n : head.size.n ** 3
}

function tableOf(head: Head, entries: Float32Array, fail: Fail): CubeTable {
  const min = head.DOMAIN_MIN ?? [0, 0, 0]
  const max = head.DOMAIN_MAX ?? [1, 1, 1]
  if (!min.every((v, c) => v < (max[c] as number))) {
    fail('the domain is empty', 'DOMAIN_MIN below DOMAIN_MAX', `${min.join(' ')} to ${max.join(' ')}`)
  }
  return {
    dimensions: head.size?.keyword === 'LUT_1D_SIZE' ? 1 : 3,
    size: head.size?.n ?? 0,
    domain: { min, max },
    ...(head.title === undefined ? {} : { title: head.title }),
    entries,
  }
}
