import { DOMImplementation, type Document, type Element, XMLSerializer } from '@xmldom/xmldom'
import { Problem, type Rgb } from '../../core/index.js'
import {
  type CdlDocument,
  type CdlWords,
  type ColorCorrection,
  type ColorDecision,
  cdlCorrections,
} from './document.js'

const NAMESPACE = 'urn:ASC:CDL:v1.01'

/** A node to be: its name, attributes, and either words or nodes inside. */
interface Node {
  readonly name: string
  readonly attributes?: Readonly<Record<string, string>>
  readonly inside: string | readonly Node[]
}

/**
 * The XML of a `.cc`, `.ccc` or `.cdl` file (UTF-8, indented by four). Numbers are written in plain decimals with as
 * many digits as it takes to read the same number back.
 *
 * @throws Problem `colour.cdl-words` where a text holds characters that XML cannot carry, `colour.cdl-values` where the
 * document holds what no such file may: nothing at all, an empty id, or a number outside its range
 */
export function writeCdl(document: CdlDocument): string {
  demandWritable(document)
  const xml = new DOMImplementation().createDocument(null, '')
  xml.appendChild(elementOf(xml, rootOf(document), '\n'))
  try {
    const text = new XMLSerializer().serializeToString(xml, { requireWellFormed: true })
    return `<?xml version="1.0" encoding="UTF-8"?>\n${text}\n`
  } catch (error) {
    throw new Problem({
      code: 'colour.cdl-words',
      what: 'a text or an id holds what XML cannot carry',
      expected: 'no control characters',
      received: error instanceof Error ? error.message : String(error),
    })
  }
}

function demandWritable(document: CdlDocument): void {
  const fail = (what: string, expected: string, received: string): never => {
    throw new Problem({ code: 'colour.cdl-values', what, expected, received })
  }
  const parts = document.kind === 'cdl' ? document.decisions : cdlCorrections(document)
  if (parts.length === 0) fail('the file would be empty', 'one correction or more', 'none')
  for (const { id, sop, sat } of cdlCorrections(document)) {
    if (id === '') fail('a correction has an empty id', 'a name, or no id', "''")
    const demand = (
      name: string,
      values: readonly number[],
      expected: string,
      good: (v: number) => boolean,
    ) => {
      const bad = values.find((v) => !Number.isFinite(v) || !good(v))
      if (bad !== undefined) fail(`${name} is out of range`, expected, String(bad))
    }
    demand('slope', sop?.slope ?? [], '0 or more', (v) => v >= 0)
    demand('offset', sop?.offset ?? [], 'a number', () => true)
    demand('power', sop?.power ?? [], 'above 0', (v) => v > 0)
    demand('saturation', sat === undefined ? [] : [sat.saturation], '0 or more', (v) => v >= 0)
  }
}

function rootOf(document: CdlDocument): Node {
  if (document.kind === 'cc') return correctionNode(document.correction)
  if (document.kind === 'ccc') {
    const inside = [...wordNodes(document), ...document.corrections.map(correctionNode)]
    return { name: 'ColorCorrectionCollection', inside }
  }
  return {
    name: 'ColorDecisionList',
    inside: [...wordNodes(document), ...document.decisions.map(decisionNode)],
  }
}

function wordNodes(words: CdlWords): readonly Node[] {
  return [
    ...descriptionNodes(words.descriptions),
    ...textNode('InputDescription', words.inputDescription),
    ...textNode('ViewingDescription', words.viewingDescription),
  ]
}

function descriptionNodes(texts: readonly string[]): readonly Node[] {
  return texts.map((inside) => ({ name: 'Description', inside }))
}

function textNode(name: string, inside: string | undefined): readonly Node[] {
  return inside === undefined ? [] : [{ name, inside }]
}

function refNode(name: string, ref: string): Node {
  return { name, attributes: { ref }, inside: [] }
}

function decisionNode(decision: ColorDecision): Node {
  const { mediaRef, correction } = decision
  return {
    name: 'ColorDecision',
    inside: [
      ...wordNodes(decision),
      ...(mediaRef === undefined ? [] : [refNode('MediaRef', mediaRef)]),
      'ref' in correction ? refNode('ColorCorrectionRef', correction.ref) : correctionNode(correction),
    ],
  }
}

function correctionNode(correction: ColorCorrection): Node {
  const { id, sop, sat } = correction
  const three = (name: string, v: Rgb): Node => ({ name, inside: v.map(decimals).join(' ') })
  const sopNode = (s: NonNullable<typeof sop>): Node => ({
    name: 'SOPNode',
    inside: [
      ...descriptionNodes(s.descriptions),
      three('Slope', s.slope),
      three('Offset', s.offset),
      three('Power', s.power),
    ],
  })
  const satNode = (s: NonNullable<typeof sat>): Node => ({
    name: 'SatNode',
    inside: [...descriptionNodes(s.descriptions), { name: 'Saturation', inside: decimals(s.saturation) }],
  })
  return {
    name: 'ColorCorrection',
    attributes: id === undefined ? {} : { id },
    inside: [
      ...wordNodes(correction),
      ...(sop === undefined ? [] : [sopNode(sop)]),
      ...(sat === undefined ? [] : [satNode(sat)]),
    ],
  }
}

function elementOf(xml: Document, node: Node, indent: string): Element {
  const element = xml.createElementNS(NAMESPACE, node.name)
  for (const [name, value] of Object.entries(node.attributes ?? {})) element.setAttribute(name, value)
  if (typeof node.inside === 'string') {
    element.appendChild(xml.createTextNode(node.inside))
    return element
  }
  for (const child of node.inside) {
    element.appendChild(xml.createTextNode(`${indent}    `))
    element.appendChild(elementOf(xml, child, `${indent}    `))
  }
  if (node.inside.length > 0) element.appendChild(xml.createTextNode(indent))
  return element
}

/** Shortest digits without an exponent, which XML's decimals do not know. */
function decimals(value: number): string {
  const short = String(value)
  const match = /^(-?)(\d)(?:\.(\d+))?e([-+]\d+)$/.exec(short)
  if (match === null) return short
  const [, sign = '', lead = '', tail = '', exponent] = match
  const power = Number(exponent)
  if (power < 0) return `${sign}0.${'0'.repeat(-power - 1)}${lead}${tail}`
  return `${sign}${lead}${tail.padEnd(power, '0')}`
}
