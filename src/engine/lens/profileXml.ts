/** Lens profiles out of the XML of the published database: maker, model, crop, aspect, and what was measured at focal lengths. */
import { DOMParser, type Element } from '@xmldom/xmldom'
import type { MeasuredAberration } from '../../chain/lens/aberration/profile.js'
import type { DistortionForm } from '../../chain/lens/distortion/model.js'
import type { LensProfile, Measured } from '../../chain/lens/distortion/profile.js'
import type { MeasuredFalloff, PublishedFalloff } from '../../chain/lens/vignette/profile.js'
import { Problem } from '../../core/index.js'

export interface PublishedLens extends LensProfile {
  /** Ascending focal lengths; none where nobody measured it. */
  readonly aberration: readonly MeasuredAberration[]
  readonly falloff: PublishedFalloff
}

/** Attributes of each form, in the order of its numbers. */
const TERMS: Readonly<Record<string, readonly string[]>> = {
  ptlens: ['a', 'b', 'c'],
  poly3: ['k1'],
  poly5: ['k1', 'k2'],
}
/** Attributes of each form, of red and blue k, then c, then b, and what stands for those that are not there. */
const COLOURS: Readonly<Record<string, readonly (readonly [string, string])[]>> = {
  linear: [
    ['kr', '1'],
    ['kb', '1'],
  ],
  poly3: [
    ['vr', '1'],
    ['vb', '1'],
    ['cr', '0'],
    ['cb', '0'],
    ['br', '0'],
    ['bb', '0'],
  ],
}
/** What the database takes where a lens does not say it. */
const ASPECT = 1.5

/**
 * Lenses of one file that draw straight lines straight but for their distortion, and have any measured. Other projections and other
 * models are left out.
 *
 * @throws Problem `lens.profile-xml`
 */
export function profilesIn(text: string, file: string): PublishedLens[] {
  return Array.from(rootOf(text, file).getElementsByTagName('lens')).flatMap((lens) => {
    const said = (name: string) => childText(lens, name)
    const type = said('type') ?? 'rectilinear'
    const crop = Number(said('cropfactor'))
    const measured = distortionsOf(lens, file)
    const [maker, model] = [said('maker'), said('model')]
    if (type !== 'rectilinear' || !(crop > 0) || measured.length === 0 || model === undefined) return []
    const [aberration, falloff] = [aberrationsOf(lens, file), falloffsOf(lens, file)]
    return [
      {
        ...{ maker: maker ?? '', model, cropFactor: crop, aspect: aspectOf(said('aspect-ratio')) },
        ...{ measured, aberration },
        falloff: {
          focalMm: focalsOf(lens, model, [...measured, ...aberration, ...falloff], file),
          measured: falloff,
        },
      },
    ]
  })
}

function rootOf(text: string, file: string): Element {
  try {
    const parser = new DOMParser({
      onError: (_, message) => {
        throw new Error(message)
      },
    })
    const root = parser.parseFromString(text, 'text/xml').documentElement
    if (root?.nodeName === 'lensdatabase') return root
    throw new Error(`<${root?.nodeName}>`)
  } catch (e) {
    throw new Problem({
      code: 'lens.profile-xml',
      what: 'This file holds no lens profiles',
      where: file,
      expected: 'well-formed XML with <lensdatabase> around it',
      received: (e as Error).message.replace(/\s+/g, ' ').trim(),
    })
  }
}

/** The first that has no language: names in others follow. */
function childText(parent: Element, name: string): string | undefined {
  const found = Array.from(parent.children).find((c) => c.nodeName === name && !c.hasAttribute('lang'))
  return found?.textContent?.trim()
}

/** @throws Problem `lens.profile-xml` */
function numberIn(e: Element, name: string, file: string, absent = '0'): number {
  const text = e.getAttribute(name) ?? absent
  const value = Number(text)
  if (Number.isFinite(value)) return value
  throw new Problem({
    code: 'lens.profile-xml',
    what: 'This is no number',
    where: `${file}, line ${e.lineNumber ?? 1}, <${e.nodeName} ${name}>`,
    received: text,
  })
}

/** Ascending, of the form that comes first. */
function distortionsOf(lens: Element, file: string): Measured[] {
  return firstForm(lens, 'distortion', TERMS, file).map(({ e, form, focalLengthMm, of }) => ({
    focalLengthMm,
    distortion: { form: form as DistortionForm, terms: of.map((name) => numberIn(e, name, file)) },
  }))
}

function aberrationsOf(lens: Element, file: string): MeasuredAberration[] {
  return firstForm(lens, 'tca', COLOURS, file).map(({ e, focalLengthMm, of }) => {
    const terms = of.map(([name, absent]) => numberIn(e, name, file, absent))
    const [red = 1, blue = 1, ...rest] = terms
    const [cr = 0, cb = 0, br = 0, bb = 0] = rest
    return { focalLengthMm, terms: [red, blue, cr, cb, br, bb] }
  })
}

/** Measurements of one kind, ascending by focal length, of the form that comes first. */
function firstForm<T>(
  lens: Element,
  tag: string,
  forms: Readonly<Record<string, readonly T[]>>,
  file: string,
) {
  const all = Array.from(lens.getElementsByTagName(tag)).flatMap((e) => {
    const form = e.getAttribute('model') ?? ''
    const of = forms[form]
    return of === undefined ? [] : [{ e, form, of, focalLengthMm: numberIn(e, 'focal', file) }]
  })
  return all
    .filter((m) => m.form === all[0]?.form && m.focalLengthMm > 0)
    .toSorted((a, b) => a.focalLengthMm - b.focalLengthMm)
}

function falloffsOf(lens: Element, file: string): MeasuredFalloff[] {
  return Array.from(lens.getElementsByTagName('vignetting')).flatMap((e) => {
    if (e.getAttribute('model') !== 'pa') return []
    const number = (name: string) => numberIn(e, name, file)
    const [focalLengthMm, fNumber, distanceM] = [number('focal'), number('aperture'), number('distance')]
    if (Math.min(focalLengthMm, fNumber, distanceM) <= 0) return []
    return [{ focalLengthMm, fNumber, distanceM, terms: [number('k1'), number('k2'), number('k3')] as const }]
  })
}

/** Shortest and longest: as the lens says it, as its name does (`24-70mm`, `50mm`), else as it was measured. */
function focalsOf(
  lens: Element,
  model: string,
  measured: readonly { readonly focalLengthMm: number }[],
  file: string,
): [number, number] {
  const said = Array.from(lens.children).find((c) => c.nodeName === 'focal')
  if (said !== undefined) {
    const one = said.getAttribute('value')
    return one === null
      ? [numberIn(said, 'min', file), numberIn(said, 'max', file)]
      : [numberIn(said, 'value', file), numberIn(said, 'value', file)]
  }
  const [, from, to = from] = /(\d+(?:\.\d+)?)(?:-(\d+(?:\.\d+)?))?\s?mm/i.exec(model) ?? []
  if (from !== undefined) return [Number(from), Number(to)]
  const all = measured.map((m) => m.focalLengthMm)
  return [Math.min(...all), Math.max(...all)]
}

/** `3:2` or `1.5`. */
function aspectOf(text: string | undefined): number {
  const [long = Number.NaN, short = 1] = (text ?? '').split(':').map(Number)
  const aspect = text === '' ? Number.NaN : long / short
  if (!(aspect > 0)) return ASPECT
  return aspect < 1 ? 1 / aspect : aspect
}
