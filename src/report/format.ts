/** Every number on the page is written here, and nowhere else. */
import type { Region } from '../core/index.js'
import type { Rate } from '../media/index.js'

const NBSP = '\u00a0'
const MINUS = '\u2212'

/** How numbers of one unit are shown: what they are turned into, how many digits, and the words behind them. */
interface Shown {
  readonly words: string
  readonly from?: (value: number) => number
  readonly digits?: (value: number) => string
}

const hundredfold = (v: number) => 100 * v

const SHOWN: Readonly<Record<string, Shown>> = {
  stops: { words: 'stops', digits: (v) => signed(v, Math.abs(v) < 0.095 ? 2 : 1) },
  px: { words: 'px', digits: pixels },
  'px edge': { words: 'px edge', digits: pixels },
  K: { words: 'K', digits: (v) => fixed(Math.round(v / 10) * 10, 0) },
  frames: { words: 'frames', digits: twoDigits },
  // Light with diffuse white at 1.
  linear: { words: '% of white', from: hundredfold, digits: twoDigits },
  // A variance is shown as the deviation that the eye sees.
  'linear²': { words: '% of white', from: (v) => 100 * Math.sqrt(Math.max(v, 0)), digits: twoDigits },
  // Code values from 0 to 1, whatever the file's depth, on the scale that everybody knows.
  code: { words: 'of 255', from: (v) => 255 * v, digits: twoDigits },
  share: { words: '%', from: hundredfold, digits: twoDigits },
  '× airlight in blacks': { words: '% haze in blacks', from: hundredfold, digits: twoDigits },
  'of 1': { words: 'of 1', digits: (v) => fixed(v, 2) },
  '×': { words: '×', digits: twoDigits },
  '× plate': { words: '× plate', digits: twoDigits },
  '–': { words: '' },
}

/** What stands behind a number of this unit: `stops`, `% of white`; empty for a bare number. */
export function unitWords(unit: string): string {
  return SHOWN[unit]?.words ?? unit
}

/** A number with its unit, rounded to what a person can use: `+1.4 stops`, `12.5 px`, `1900 K`, `3.1 % of white`. */
export function formatNumber(value: number, unit: string): string {
  return withUnit(bare(value, unit), unit)
}

/** One number or a few; more than four are told by their count and span. */
export function formatValues(values: readonly number[], unit: string): string {
  return values.length === 0 ? 'none' : withUnit(formatBare(values, unit), unit)
}

/** As `formatValues`, without the unit. */
export function formatBare(values: readonly number[], unit: string): string {
  if (values.length <= 4) return values.map((v) => bare(v, unit)).join('\u2002') || 'none'
  let low = Number.POSITIVE_INFINITY
  let high = Number.NEGATIVE_INFINITY
  for (const v of values) {
    low = Math.min(low, v)
    high = Math.max(high, v)
  }
  return `${values.length} values, ${bare(low, unit)} to ${bare(high, unit)}`
}

function withUnit(text: string, unit: string): string {
  const words = unitWords(unit)
  return words === '' ? text : `${text}${NBSP}${words.replaceAll(' ', NBSP)}`
}

function bare(value: number, unit: string): string {
  if (Number.isNaN(value)) return 'not a number'
  if (!Number.isFinite(value)) return value > 0 ? '∞' : `${MINUS}∞`
  const { from, digits } = SHOWN[unit] ?? {}
  const shown = from === undefined ? value : from(value)
  if (shown === 0) return '0'
  if (digits !== undefined) return digits(shown)
  return Math.abs(shown) >= 0.1 && Math.abs(shown) < 10 ? fixed(shown, 2) : significant(shown)
}

function pixels(value: number): string {
  return fixed(value, Math.abs(value) >= 100 ? 0 : Math.abs(value) >= 1 ? 1 : 2)
}

/** Whole numbers from 10 on, two significant digits below. */
function twoDigits(value: number): string {
  const size = Math.abs(value)
  if (size < 1e-3 || size >= 1e6) return significant(value)
  return fixed(
    value,
    size >= 9.95 || Number.isInteger(value) ? 0 : size >= 0.995 ? 1 : 1 - Math.floor(Math.log10(size)),
  )
}

function fixed(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits)
  return value < 0 && Number(text) !== 0 ? MINUS + text : text
}

function signed(value: number, digits: number): string {
  const text = fixed(value, digits)
  return Number(Math.abs(value).toFixed(digits)) === 0 ? '0' : value > 0 ? `+${text}` : text
}

/** Three significant digits, at most five after the point; powers of ten for what is smaller still. */
function significant(value: number): string {
  const size = Math.abs(value)
  if (size === 0) return '0'
  if (size < 1e-4 || size >= 1e6) {
    const [m = '0', e = '0'] = size.toExponential(1).split('e')
    return `${value < 0 ? MINUS : ''}${m}${NBSP}×${NBSP}10${superscript(Number(e))}`
  }
  const digits = Math.max(0, Math.min(5, 2 - Math.floor(Math.log10(size))))
  return fixed(value, digits)
}

function superscript(n: number): string {
  return String(n).replace(/[-\d]/g, (c) => (c === '-' ? '⁻' : ('⁰¹²³⁴⁵⁶⁷⁸⁹'[Number(c)] ?? '')))
}

/** A bound: as `formatNumber`, without a plus sign; stops to a hundredth, so that what oversteps it is not shown inside. */
export function formatBound(value: number, unit: string): string {
  if (unit === 'stops') return withUnit(String(Number(value.toFixed(2))), unit)
  return formatNumber(value, unit).replace(/^\+/, '')
}

export function formatFrames([first, last]: readonly [number, number]): string {
  return first === last ? `frame ${first}` : `frames ${first} to ${last}`
}

/** `0, 12, 24`; long lists by their count and span. */
export function formatFrameList(frames: readonly number[]): string {
  if (frames.length === 0) return 'no frames'
  if (frames.length === 1) return `frame ${frames[0]}`
  if (frames.length <= 12) return `frames ${frames.slice(0, -1).join(', ')} and ${frames.at(-1)}`
  return `${frames.length} frames from ${frames[0]} to ${frames.at(-1)}`
}

export function formatRegion(r: Region): string {
  return `${r.width}${NBSP}×${NBSP}${r.height}${NBSP}px at ${r.x}, ${r.y}`
}

export function formatBytes(bytes: number): string {
  if (bytes < 1000) return `${bytes}${NBSP}bytes`
  const [scaled, unit] =
    bytes < 1e6 ? [bytes / 1e3, 'kB'] : bytes < 1e9 ? [bytes / 1e6, 'MB'] : [bytes / 1e9, 'GB']
  return `${scaled >= 100 ? scaled.toFixed(0) : scaled.toFixed(1)}${NBSP}${unit}`
}

export function formatRate(rate: Rate): string {
  if (rate.den === 1) return `${rate.num} frames a second`
  return `${(rate.num / rate.den).toFixed(3)} frames a second (${rate.num}/${rate.den})`
}

export function formatSeconds(seconds: number): string {
  return `${seconds.toFixed(seconds < 10 ? 2 : 1)}${NBSP}s`
}

export function formatPercent(share: number): string {
  return `${Math.round(share * 100)}${NBSP}%`
}

/** `1 tell`, `2 tells`. */
export function formatCount(n: number, one: string, many = `${one}s`): string {
  return n === 1 ? `1 ${one}` : `${n} ${many}`
}
