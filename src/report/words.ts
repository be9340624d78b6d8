/** Evidence and certainty in plain English. */
import type { Evidence, Problem } from '../core/index.js'
import {
  formatBound,
  formatFrameList,
  formatNumber,
  formatPercent,
  formatRegion,
  formatValues,
} from './format.js'

/** A sentence from elsewhere as it is set on the page: capital, curved quotes, and no line that begins with ×. */
export function typeset(text: string, sentence = true): string {
  const set = text
    .replace(/(?<=\S)'/g, '’')
    .replace(/`([^`]*)`/g, '“$1”')
    .replace(/"([^"]*)"/g, '“$1”')
    .replace(/(?<=\d) (?=[×%]|px\b|stops?\b)/g, '\u00a0')
  return sentence ? capital(set) : set
}

/** How sure a number is, in words and in per cent. */
export function certainty(confidence: number): string {
  const word =
    confidence >= 0.9
      ? 'sure'
      : confidence >= 0.7
        ? 'fairly sure'
        : confidence >= 0.4
          ? 'not very sure'
          : 'little more than a guess'
  return `${word} (${formatPercent(confidence)})`
}

/** One sentence on where a number came from. */
export function evidenceWords(e: Evidence, unit: string): string {
  if (e.kind === 'set') return e.note === undefined ? 'Set by hand.' : `Set by hand: ${closed(e.note)}`
  if (e.kind === 'assumed') return `Assumed because ${closed(e.why)} ${capital(certainty(e.confidence))}.`
  if (e.kind === 'derived') {
    const inputs = Object.entries(e.inputs).map(([name, v]) => `${name} = ${inputWords(v)}`)
    const from = inputs.length === 0 ? '' : `, from ${inputs.join('; ')}`
    return `Derived by ${open(e.formula)}${from}. ${capital(certainty(e.confidence))}.`
  }
  const where = e.region === undefined ? '' : `, ${formatRegion(e.region)},`
  const spread =
    e.spread === undefined || unit === 'linear²' ? '' : ` Spread ±${formatBound(e.spread, unit)}.`
  const frames = e.frames.length === 0 ? '' : ` on ${formatFrameList(e.frames)}`
  return `Measured${frames}${where} by ${closed(e.method)}${spread} ${capital(certainty(e.confidence))}.`
}

/** A finding without its path: pages are the same wherever the files lie. */
export function findingWords({ detail }: Problem): string {
  const received = detail.received === undefined ? '' : ` (${detail.received})`
  const remedy = detail.remedy === undefined ? '' : ` ${closed(detail.remedy)}`
  return `${closed(open(detail.what) + received)}${remedy}`
}

function inputWords(v: number | string | readonly number[]): string {
  if (typeof v === 'string') return v
  return typeof v === 'number' ? formatNumber(v, '–') : formatValues(v, '–')
}

function open(text: string): string {
  return text.trim().replace(/\.$/, '')
}

function closed(text: string): string {
  return `${open(text)}.`
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}
