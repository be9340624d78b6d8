/** What comes from the other rooms, in the page's words: there it is called as the document calls it. */
import { typeset } from '../../report/words.js'

const NAMES: Readonly<Record<string, string>> = {
  sensorWidthMm: 'sensor width',
  focalLengthMm: 'focal length',
  fNumber: 'f-number',
  focusM: 'focus',
  distanceM: 'distance',
  heightM: 'real height',
  visibilityM: 'visibility',
  compareWith: 'place to compare with',
  startFrame: 'start frame',
}
const FIELD = Object.keys(NAMES).join('|')
const OWNER = '(?:elements\\[\\d+\\]|camera|site)\\.'
const LINK = 'source|light|air|lens|shutter|sensor'
const TREATED = `(?:${LINK})\\.[a-z]+[A-Z]\\w*`
const NAME = new RegExp(`\\b(?:${OWNER})?(${FIELD})\\b`, 'g')
const TREATMENT = new RegExp(`\\b(${LINK})\\.([a-z]+[A-Z][A-Za-z]*)\\b`, 'g')
/** Names alone in brackets: the words before them say the same. */
const ANY = `(?:${FIELD}|${TREATED}|${OWNER}\\w+)`
const ASIDE = new RegExp(` \\(${ANY}(?:, ${ANY})*\\)`, 'g')

/** A sentence from elsewhere, set and in the page's words. */
export function said(text: string): string {
  return typeset(
    text
      .replace(ASIDE, '')
      .replace(NAME, (_, name: string) => NAMES[name] as string)
      .replace(TREATMENT, (_, link: string, name: string) => `${apart(name)} under "${link}"`),
  )
}

function apart(name: string): string {
  return name.replace(/[A-Z]/g, (c) => ` ${c.toLowerCase()}`)
}
