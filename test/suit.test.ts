/** `suit` as a person meets it: a table for one element, a ranking for a folder, a page, exit codes. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { platefit } from './platefit.js'
import { smallFiles } from './small.js'

interface Line {
  readonly name: string
  readonly verdict: string
  readonly remedy?: string
}
interface Answer {
  readonly elements: readonly { path: string; score: number; verdict: string; lines: readonly Line[] }[]
  readonly unread: readonly { path: string; problem: { code: string } }[]
}

let folder: string

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-suit-'))
  // Eight frames: fewer numbered pictures would count as single ones.
  await smallFiles(folder, 8)
  await writeFile(join(folder, 'broken.mov'), 'no movie')
})
afterAll(() => rm(folder, { recursive: true, force: true }))

async function asked(...args: string[]) {
  const { code, out } = await platefit(folder, ['suit', ...args, '--plate', 'plate', '--json'])
  return { code, answer: JSON.parse(out) as Answer }
}
const line = (a: Answer, name: string) => a.elements[0]?.lines.find((l) => l.name === name)

describe('one element', () => {
  it('says what to tell where nothing is told, and guesses nothing', async () => {
    const { answer } = await asked('plate')
    expect(line(answer, 'size')).toMatchObject({ verdict: 'cannot tell' })
    expect(line(answer, 'rate')?.remedy).toBe('tell --plate-rate')
  })

  it('judges size, rate and cut-out of what is told', async () => {
    const { answer, code } = await asked(
      ...[
        'fire/fire.####.png',
        '--scale',
        '3',
        '--at',
        '80,48',
        '--rate',
        '24',
        '--plate-rate',
        '24',
        '--frames',
        '4',
      ],
    )
    expect(code).toBe(1)
    expect(line(answer, 'cut-out')?.verdict).toBe('fine')
    expect(line(answer, 'size')?.verdict).toBe('unfit')
    expect(line(answer, 'rate')?.verdict).toBe('fine')
    expect(line(answer, 'length')?.verdict).toBe('fine')
    expect(line(answer, 'border')?.verdict).toBe('fine')
  })

  it('prints a table', async () => {
    const said = await platefit(folder, ['suit', 'fire/fire.####.png', '--plate', 'plate', '--scale', '1'])
    expect(said.out).toMatch(/size +fine +1 ×, as it is/)
    expect(said.err).toBe('')
  })
})

describe('several', () => {
  it('are ranked, a broken one is listed, and a page shows them all', async () => {
    const { code, answer } = await asked('.', '--scale', '1', '--sheet', 'sheet.html')
    expect(code).toBe(2)
    const scores = answer.elements.map((e) => e.score)
    expect(scores).toEqual([...scores].sort((a, b) => b - a))
    // fire/ and plate/ hold one sequence each.
    expect(answer.elements).toHaveLength(2)
    expect(answer.unread.map((u) => u.path)).toEqual(['broken.mov'])
    const page = await readFile(join(folder, 'sheet.html'), 'utf8')
    for (const e of answer.elements) expect(page).toContain(e.path)
    expect(page).toContain('data:image/jpeg;base64,')
    expect(page).not.toMatch(/(src|href)="(?!data:)/)
  })
})

describe('wrong use', () => {
  it.each([
    [['fire'], 'cli.usage'],
    [['fire', '--plate', 'plate', '--at', '3'], 'cli.value'],
    [['fire', '--plate', 'plate', '--scale', '-1'], 'cli.value'],
    [['fire', '--plate', 'plate', '--sheet', 'x.txt'], 'cli.value'],
    [['fire', '--plate', 'nowhere.mov'], 'media.file-missing'],
    [['fire', '--plate', 'plate', '--at', '4000,250'], 'suit.outside-plate'],
    [['fire', '--plate', 'plate', '--at', '4000,250', '--scale', '1'], 'suit.outside-plate'],
    [['fire', '--plate', 'plate', '--memory', '10'], 'suit.too-little-memory'],
  ])('%j', async (args, code) => {
    const said = await platefit(folder, ['suit', ...args, '--json'])
    expect(said.code).toBe(2)
    expect(JSON.parse(said.out).problem.code).toBe(code)
  })
})
