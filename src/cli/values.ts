import { resolve } from 'node:path'
/** Readers of option values: text in, checked values out. */
import { Problem } from '../core/index.js'

const UNITS: Readonly<Record<string, number>> = { '': 1, K: 2 ** 10, M: 2 ** 20, G: 2 ** 30, T: 2 ** 40 }

function wrong(option: string, expected: string, received: string): Problem {
  return new Problem({ code: 'cli.value', what: `This does not fit ${option}`, expected, received })
}

/** `0-23` or `7`: frames of the shot, both ends included. */
export function frames(text: string): { first: number; count: number } {
  const [, from, to] = /^(\d+)(?:-(\d+))?$/.exec(text) ?? []
  const first = Number(from)
  const last = to === undefined ? first : Number(to)
  if (from === undefined || last < first) {
    throw wrong('--frames', 'a first and a last frame such as 0-23, or one frame', text)
  }
  return { first, count: last - first + 1 }
}

/** A frame of the shot, 0-based. */
export function frameNumber(option: string): (text: string) => number {
  return (text) => {
    if (!/^\d{1,9}$/.test(text)) throw wrong(option, 'a whole number from 0 on', text)
    return Number(text)
  }
}

/** `512M`, `2G`, `1.5G` in bytes. */
export function amount(option: string): (text: string) => number {
  return (text) => {
    const [, number, unit] = /^(\d+(?:\.\d+)?)([KMGT]?)$/i.exec(text) ?? []
    const bytes = Number(number) * (UNITS[unit?.toUpperCase() ?? ''] ?? Number.NaN)
    if (!(bytes >= 1)) throw wrong(option, 'an amount such as 512M or 2G', text)
    return Math.floor(bytes)
  }
}

/** A whole number of at least 1. */
export function count(option: string): (text: string) => number {
  return (text) => {
    if (!/^[1-9]\d{0,8}$/.test(text)) throw wrong(option, 'a whole number of at least 1', text)
    return Number(text)
  }
}

/** Any finite number. */
export function number(text: string): number {
  const value = text.trim() === '' ? Number.NaN : Number(text)
  if (!Number.isFinite(value)) throw wrong('VALUE', 'a number', text)
  return value
}

/** For options that may stand several times. */
export function collect(text: string, before: readonly string[] = []): string[] {
  return [...before, text]
}

/** 0 to 1. */
export function share(option: string): (text: string) => number {
  return (text) => {
    const value = text.trim() === '' ? Number.NaN : Number(text)
    if (!(value >= 0 && value <= 1)) throw wrong(option, 'a number from 0 to 1', text)
    return value
  }
}

/** A number above 0. */
export function positive(option: string): (text: string) => number {
  return (text) => {
    const value = text.trim() === '' ? Number.NaN : Number(text)
    if (!(Number.isFinite(value) && value > 0)) throw wrong(option, 'a number above 0', text)
    return value
  }
}

/** Of a shutter: above 0, to 360°. */
export function angle(option: string): (text: string) => number {
  return (text) => {
    const value = text.trim() === '' ? Number.NaN : Number(text)
    if (!(value > 0 && value <= 360)) throw wrong(option, 'degrees above 0, 360 at most', text)
    return value
  }
}

/** A finite number of either sign. */
export function signed(option: string): (text: string) => number {
  return (text) => {
    const value = text.trim() === '' ? Number.NaN : Number(text)
    if (!Number.isFinite(value)) throw wrong(option, 'a number', text)
    return value
  }
}

/** `960,540`: a place in pixels. */
export function place(text: string, option = '--at'): { x: number; y: number } {
  const [x, y, more] = text.split(',').map((t) => (t.trim() === '' ? Number.NaN : Number(t)))
  if (x === undefined || y === undefined || more !== undefined || !Number.isFinite(x) || !Number.isFinite(y))
    throw wrong(option, 'pixels from the left and from the top, such as 960,540', text)
  return { x, y }
}

/** For options that hold several places. */
export function places(
  option: string,
): (text: string, before?: readonly (readonly [number, number])[]) => [number, number][] {
  return (text, before = []) => {
    const { x, y } = place(text, option)
    return [...before.map(([u, v]): [number, number] => [u, v]), [x, y]]
  }
}

/** Several polygons of three places and more: `0,0 300,0 300,200`. */
export function polygons(
  option: string,
): (text: string, before?: readonly [number, number][][]) => [number, number][][] {
  return (text, before = []) => {
    const polygon = text
      .trim()
      .split(/\s+/)
      .map((t): [number, number] => {
        const { x, y } = place(t, option)
        return [x, y]
      })
    if (polygon.length < 3) throw wrong(option, 'three places or more, such as "0,0 300,0 300,200"', text)
    return [...before, polygon]
  }
}

/** Polygons, or files: what looks like places in pixels is a polygon. */
export function polygonOrFile(
  option: string,
): (text: string, before?: readonly ([number, number][] | string)[]) => ([number, number][] | string)[] {
  const asPolygon = polygons(option)
  return (text, before = []) => {
    if (!/^[-+\d.,\s]+$/.test(text)) return [...before, resolve(text)]
    return [...before, ...asPolygon(text)]
  }
}

/** A number of either sign, no farther from 0 than `most`. */
export function signedWithin(option: string, most: number): (text: string) => number {
  const asNumber = signed(option)
  return (text) => {
    const value = asNumber(text)
    if (Math.abs(value) > most) throw wrong(option, `a number from −${most} to ${most}`, text)
    return value
  }
}

/** A file, or linear light: `0.2,0.2,0.2`. */
export function ground(option: string): (text: string) => string | [number, number, number] {
  return (text) => {
    const light = text.split(',').map((t) => (t.trim() === '' ? Number.NaN : Number(t)))
    if (light.every(Number.isNaN)) return resolve(text)
    if (light.length !== 3 || light.some((v) => !(v >= 0)))
      throw wrong(option, 'a file, or three amounts of light from 0 up, such as 0.2,0.2,0.2', text)
    return light as [number, number, number]
  }
}

/** `24`, `24000/1001`: frames a second. */
export function frameRate(option: string): (text: string) => { num: number; den: number } {
  return (text) => {
    const [, num, den] = /^([1-9]\d{0,8})(?:\/([1-9]\d{0,8}))?$/.exec(text) ?? []
    if (num === undefined) throw wrong(option, 'frames a second such as 24 or 24000/1001', text)
    return { num: Number(num), den: Number(den ?? 1) }
  }
}
