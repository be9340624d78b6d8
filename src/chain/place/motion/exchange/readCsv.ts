/**
 * Points, matrices or camera angles as comma-separated text:
 *
 *   # pixel centres: half        remarks; six of them say how the file is meant (`setting.ts`), before the header:
 *   # first frame: 1001          `pixel centres: half | whole`, `first frame: N`, `size: WIDTH HEIGHT` of the picture it was made on,
 *   # size: 1920 1080            `y: down | up`, `middle: X Y` of the lens (for angles), `bridged: N N N` frames that were not seen
 *                                but carried over from both sides (for matrices)
 *   frame,x,y                    the header says which of four kinds it is
 *   1001,812.25,440.5
 *
 *   frame,x,y  frame,x,y,name               a point, or several by name: where it is seen, px
 *   frame,m1,m2,m3,m4,m5,m6,m7,m8,m9        3 × 3, row by row, from one frame's pixels, the same for all, to this one's
 *   frame,pan,tilt,roll,focal               of a camera that only turns (angles.ts): degrees, and focal length in pixels of that picture
 *
 * One row a frame (and name). Numbers with a point. Anything else is refused with its line. Source: [rfc4180], without quotes.
 */
import type { Angles } from './angles.js'
import type { MotionFile, NamedPoint } from './file.js'
import {
  assumedOf,
  bridgedOf,
  type Fail,
  failAt,
  frameOf,
  isSetting,
  madeOn,
  matrixToOurs,
  type Setting,
  settingOf,
  toOurs,
} from './setting.js'

const NUMBER = /^[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?$/
const HEADERS = {
  'frame,x,y': 'points',
  'frame,x,y,name': 'points',
  'frame,m1,m2,m3,m4,m5,m6,m7,m8,m9': 'matrices',
  'frame,pan,tilt,roll,focal': 'angles',
} as const

interface Row {
  readonly line: number
  readonly frame: number
  readonly numbers: readonly number[]
  readonly name: string
}

/**
 * What such a text holds, in our pixels and frames.
 *
 * @param file its name, for messages
 * @throws Problem `place.motion-file`: what, line, expected and received
 */
export function readMotionCsv(text: string, file: string): MotionFile {
  let line = 0
  const fail = failAt(() => `${file}, line ${line}`)
  let setting: Setting = {}
  let header: keyof typeof HEADERS | undefined
  const rows: Row[] = []
  const taken = new Map<string, number>()
  for (const raw of text.replace(/^\ufeff/, '').split('\n')) {
    line++
    const content = raw.trim()
    if (content === '') continue
    if (content.startsWith('#')) {
      if (header === undefined) setting = { ...setting, ...remark(content.slice(1).trim(), fail) }
    } else if (header === undefined) {
      header = headerOf(content, fail)
    } else {
      const row = rowOf(content, header, line, setting, fail)
      const key = `${row.frame},${row.name}`
      const before = taken.get(key)
      if (before !== undefined)
        fail('this frame is there twice', 'one row a frame and name', `line ${before} too`)
      taken.set(key, line)
      rows.push(row)
    }
  }
  if (header === undefined || rows.length === 0)
    return fail('there is nothing in it', 'a header and rows', header === undefined ? 'no header' : 'no rows')
  const kind = HEADERS[header]
  const said = { ...madeOn(setting), assumed: assumedOf(setting, kind !== 'angles') }
  rows.sort((a, b) => a.frame - b.frame)
  if (kind === 'points') return { kind, points: pointsOf(rows, toOurs(setting)), ...said }
  if (kind === 'angles') {
    const angles = rows.map((r) =>
      anglesOf(
        r,
        (l) => {
          line = l
        },
        fail,
      ),
    )
    return {
      kind,
      angles,
      ...(setting.middle
        ? { middle: setting.middle.map((v) => v + toOurs(setting)) as [number, number] }
        : {}),
      ...said,
    }
  }
  const matrices = rows.map((r) => {
    line = r.line
    return { frame: r.frame, matrix: matrixToOurs(r.numbers, setting, fail) }
  })
  return { kind, matrices, bridged: bridgedOf(setting, matrices), ...said }
}

/** One thing that the file says of itself; other remarks are for people. */
function remark(content: string, fail: Fail): Setting {
  const [, key = '', value = ''] = /^([a-z ]+?)\s*:\s*(.*)$/i.exec(content) ?? []
  const name = key.toLowerCase().replace(/ +(.)/g, (_, first: string) => first.toUpperCase())
  if (!isSetting(name)) return {}
  return settingOf({ [name]: valueIn(name, value) }, (what, expected) => fail(what, expected, value))
}

function valueIn(name: keyof Setting, text: string): unknown {
  const words = text.split(/\s+/)
  if (!words.every((w) => NUMBER.test(w))) return text
  return name === 'firstFrame' ? Number(text) : words.map(Number)
}

function headerOf(content: string, fail: Fail): keyof typeof HEADERS {
  const header = content.replace(/\s*,\s*/g, ',').toLowerCase()
  return header in HEADERS
    ? (header as keyof typeof HEADERS)
    : fail('the header is wrong', Object.keys(HEADERS).join(' or '), content)
}

function rowOf(content: string, header: string, line: number, setting: Setting, fail: Fail): Row {
  const columns = header.split(',')
  const words = content.split(',').map((w) => w.trim())
  if (words.length !== columns.length)
    fail('this row is wrong', `${columns.length} values (${header})`, `${words.length}: ${content}`)
  const named = columns.at(-1) === 'name'
  const name = named ? (words.at(-1) as string) : ''
  if (named && (name === '' || name.includes('"')))
    fail('this name is wrong', 'a name without quotes', name || 'nothing')
  const numbers = (named ? words.slice(0, -1) : words).map((word, i) =>
    NUMBER.test(word) && Number.isFinite(Number(word))
      ? Number(word)
      : fail(`${columns[i]} is wrong`, 'a number', word || 'nothing'),
  )
  return { line, frame: frameOf(numbers[0], setting, fail), numbers: numbers.slice(1), name }
}

function pointsOf(rows: readonly Row[], by: number): readonly NamedPoint[] {
  const points = new Map<string, [number, number, number][]>()
  for (const { frame, numbers, name } of rows) {
    const seen = points.get(name) ?? []
    seen.push([frame, (numbers[0] as number) + by, (numbers[1] as number) + by])
    points.set(name, seen)
  }
  return [...points].map(([name, seen]) => ({ name, seen }))
}

function anglesOf(
  { frame, numbers, line }: Row,
  at: (line: number) => void,
  fail: Fail,
): Angles & { frame: number } {
  const [pan, tilt, roll, focalPx] = numbers as [number, number, number, number]
  at(line)
  if (focalPx <= 0) fail('this focal length is wrong', 'a number of pixels above 0', `${focalPx}`)
  return { frame, pan, tilt, roll, focalPx }
}
