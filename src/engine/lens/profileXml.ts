/** Lens profiles out of the XML of the published database: maker, model, crop, aspect, and distortion at focal lengths. */
import { DOMParser, type Element } from '@xmldom/xmldom'
import type { DistortionForm } from '../../chain/lens/distortion/model.js'
import type { LensProfile, Measured } from '../../chain/lens/distortion/profile.js'
import { Problem } from '../../core/index.js'

/** Attributes of each form, in the order of its numbers. */
const TERMS: Readonly<Record<string, readonly string[]>> = {
  ptlens: ['a', 'b', 'c'],
  poly3: ['k1'],
  poly5: ['k1', 'k2'],
}
/** What the database takes where a lens does not say it. */
const ASPECT = 1.5

/**
 * Lenses of one file that draw straight lines straight but for their distortion, and have any measured. Other projections and other
 * models are left out.
 *
 * @throws Problem `lens.profile-xml`
 */
export function profilesIn(text: string, file: string): LensProfile[] {
  return Array.from(rootOf(text, file).getElementsByTagName('lens')).flatMap((lens) => {
    const said = (name: string) => childText(lens, name)
    const type = said('type') ?? 'rectilinear'
    const crop = Number(said('cropfactor'))
    const measured = distortionsOf(lens, file)
    const [maker, model] = [said('maker'), said('model')]
    if (type !== 'rectilinear' || !(crop > 0) || measured.length === 0 || model === undefined) return []
    return [{ maker: maker ?? '', model, cropFactor: crop, aspect: aspectOf(said('aspect-ratio')), measured }]
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

/** Ascending, of the form that comes first. */
function distortionsOf(lens: Element, file: string): Measured[] {
  const all = Array.from(lens.getElementsByTagName('distortion')).flatMap((d): Measured[] => {
    const form = d.getAttribute('model') ?? ''
    const names = TERMS[form]
    if (names === undefined) return []
    const number = (name: string) => {
      const value = Number(d.getAttribute(name) ?? '0')
      if (Number.isFinite(value)) return value
      throw new Problem({
        code: 'lens.profile-xml',
        what: 'This is no number',
        where: `${file}, line ${d.lineNumber ?? 1}, <distortion ${name}>`,
        received: d.getAttribute(name) ?? '',
      })
    }
    const distortion = { form: form as DistortionForm, terms: names.map(number) }
    return [{ focalLengthMm: number('focal'), distortion }]
  })
  const form = all[0]?.distortion.form
  return all
    .filter((m) => m.distortion.form === form && m.focalLengthMm > 0)
    .toSorted((a, b) => a.focalLengthMm - b.focalLengthMm)
}

/** `3:2` or `1.5`. */
function aspectOf(text: string | undefined): number {
  const [long = Number.NaN, short = 1] = (text ?? '').split(':').map(Number)
  const aspect = text === '' ? Number.NaN : long / short
  if (!(aspect > 0)) return ASPECT
  return aspect < 1 ? 1 / aspect : aspect
}
