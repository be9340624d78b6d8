/** The light's path across the head of the page: eight links, and where it gives the effect away. */
import { formatCount } from '../format.js'
import { type Html, html } from '../html.js'
import type { PageModel } from './page.js'

/** In the order of the light. */
export const LINKS = ['source', 'place', 'light', 'air', 'lens', 'shutter', 'sensor', 'display'] as const

type State = 'tell' | 'unknown' | 'fits' | 'unchecked'

export function lightPath(m: PageModel): Html {
  return html`<ol class="path" aria-label="The path of the light, link by link">
${LINKS.map((link) => {
  const { state, words } = stateOf(m, link)
  return html`<li class="${state}"><i></i><b>${link}</b><span>${words}</span></li>\n`
})}</ol>`
}

function stateOf(m: PageModel, link: string): { state: State; words: string } {
  const telling = m.speaking.filter((t) => t.link === link).length
  if (telling > 0) return { state: 'tell', words: formatCount(telling, 'tell') }
  const verdicts = m.check.ledger.filter((r) => r.link === link).map((r) => r.verdict)
  if (verdicts.includes('fits')) return { state: 'fits', words: 'fits' }
  if (verdicts.includes('cannot tell') || m.check.undecided.some((u) => u.link === link)) {
    return { state: 'unknown', words: 'cannot tell' }
  }
  return { state: 'unchecked', words: 'not checked' }
}
