import { Problem, type Rgb } from '../../core/index.js'
import {
  type CdlDocument,
  type CdlWords,
  type ColorCorrection,
  type ColorDecision,
  cdlCorrections,
} from './document.js'
import { childrenOf, contentProblem, demandNamespace, nameOf, type Place, parseXml, textOf } from './nodes.js'

const WORDS = ['InputDescription', 'ViewingDescription']
const NUMBER = /^[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?$/

/**
 * The content of a `.cc`, `.ccc` or `.cdl` file; the root element says which it is, not the file's ending.
 *
 * @param file its name, for messages
 * @throws Problem `colour.cdl-xml` where it is not XML, `colour.cdl-content` where it is not CDL: what, line, expected
 *   and received. Numbers must lie in the ranges of version 1.2 (slope ≥ 0, power > 0, saturation ≥ 0), ids must differ.
 */
export function readCdl(text: string, file: string): CdlDocument {
  const root = parseXml(text, file)
  demandNamespace(root)
  const document = contentOf(root)
  demandDifferentIds(document, file)
  return document
}

function contentOf(root: Place): CdlDocument {
  switch (nameOf(root)) {
    case 'ColorCorrection':
      return { kind: 'cc', correction: correctionOf(root) }
    case 'ColorCorrectionCollection': {
      const child = childrenOf(root, WORDS, ['Description', 'ColorCorrection'])
      return {
        kind: 'ccc',
        ...wordsOf(child),
        corrections: some(root, child, 'ColorCorrection').map(correctionOf),
      }
    }
    case 'ColorDecisionList': {
      const child = childrenOf(root, WORDS, ['Description', 'ColorDecision'])
      return { kind: 'cdl', ...wordsOf(child), decisions: some(root, child, 'ColorDecision').map(decisionOf) }
    }
    default:
      throw contentProblem(
        root,
        'this is not an ASC CDL file',
        'ColorCorrection, ColorCorrectionCollection or ColorDecisionList',
        nameOf(root),
      )
  }
}

type Children = (name: string) => readonly Place[]

function some(parent: Place, child: Children, name: string): readonly Place[] {
  const all = child(name)
  if (all.length === 0) throw contentProblem(parent, 'it holds nothing', `at least one ${name}`, 'none')
  return all
}

function wordsOf(child: Children): CdlWords {
  const input = child('InputDescription')[0]
  const viewing = child('ViewingDescription')[0]
  return {
    descriptions: child('Description').map(textOf),
    ...(input === undefined ? {} : { inputDescription: textOf(input) }),
    ...(viewing === undefined ? {} : { viewingDescription: textOf(viewing) }),
  }
}

function decisionOf(place: Place): ColorDecision {
  const child = childrenOf(
    place,
    [...WORDS, 'MediaRef', 'ColorCorrection', 'ColorCorrectionRef'],
    ['Description'],
  )
  const media = child('MediaRef')[0]
  const [written, named] = [child('ColorCorrection')[0], child('ColorCorrectionRef')[0]]
  if ((written === undefined) === (named === undefined)) {
    const received = written === undefined ? 'neither' : 'both'
    throw contentProblem(
      place,
      'it must hold one correction',
      'ColorCorrection or ColorCorrectionRef',
      received,
    )
  }
  return {
    ...wordsOf(child),
    ...(media === undefined ? {} : { mediaRef: attribute(media, 'ref') }),
    correction: named === undefined ? correctionOf(written as Place) : { ref: attribute(named, 'ref') },
  }
}

function correctionOf(place: Place): ColorCorrection {
  const child = childrenOf(place, [...WORDS, 'SOPNode', 'SatNode'], ['Description'])
  const sop = child('SOPNode')[0]
  const sat = child('SatNode')[0]
  return {
    ...(place.element.hasAttribute('id') ? { id: attribute(place, 'id') } : {}),
    ...wordsOf(child),
    ...(sop === undefined ? {} : { sop: sopOf(sop) }),
    ...(sat === undefined ? {} : { sat: satOf(sat) }),
  }
}

function sopOf(place: Place): NonNullable<ColorCorrection['sop']> {
  const child = childrenOf(place, ['Slope', 'Offset', 'Power'], ['Description'])
  const three = (name: string, least: number, open: boolean): Rgb => {
    const [r, g, b] = numbers(only(place, child, name), 3, least, open)
    return [r as number, g as number, b as number]
  }
  return {
    slope: three('Slope', 0, false),
    offset: three('Offset', Number.NEGATIVE_INFINITY, false),
    power: three('Power', 0, true),
    descriptions: child('Description').map(textOf),
  }
}

function satOf(place: Place): NonNullable<ColorCorrection['sat']> {
  const child = childrenOf(place, ['Saturation'], ['Description'])
  const [saturation] = numbers(only(place, child, 'Saturation'), 1, 0, false)
  return { saturation: saturation as number, descriptions: child('Description').map(textOf) }
}

function only(parent: Place, child: Children, name: string): Place {
  const [one] = child(name)
  if (one === undefined) throw contentProblem(parent, `<${name}> is missing`, name, 'none')
  return one
}

function attribute(place: Place, name: string): string {
  const value = place.element.getAttribute(name)?.trim() ?? ''
  if (value === '')
    throw contentProblem(place, `its attribute \`${name}\` is empty or missing`, 'a text', 'none')
  return value
}

function numbers(place: Place, count: number, least: number, open: boolean): readonly number[] {
  childrenOf(place, [])
  const text = textOf(place).trim()
  const words = text === '' ? [] : text.split(/\s+/)
  const values = words.map((word) => (NUMBER.test(word) ? Number(word) : Number.NaN))
  const range = least === 0 ? ` ${open ? 'above' : 'not below'} 0` : ''
  if (
    values.length !== count ||
    !values.every((v) => Number.isFinite(v) && (open ? v > least : v >= least))
  ) {
    const expected = count === 1 ? `a number${range}` : `${count} numbers${range}`
    throw contentProblem(place, `<${nameOf(place)}> is wrong`, expected, text === '' ? 'nothing' : text)
  }
  return values
}

function demandDifferentIds(document: CdlDocument, file: string): void {
  const seen = new Set<string>()
  for (const { id } of cdlCorrections(document)) {
    if (id !== undefined && seen.has(id)) {
      throw new Problem({
        code: 'colour.cdl-content',
        what: 'two corrections have the same id',
        where: file,
        expected: 'an id once',
        received: id,
      })
    }
    if (id !== undefined) seen.add(id)
  }
}
