import type { Encoded } from '../budget.js'
import { type Html, html } from '../html.js'

/** An embedded picture; what found no room says so. */
export function picture(e: Encoded | undefined, alt: string, enlarged = 1): Html {
  if (e === undefined) return html`<p class="absent">${alt}: left out to keep this page small.</p>`
  const kind = enlarged === 1 ? undefined : html` class="enlarged"`
  return html`<img${kind} src="${e.src}" width="${e.width * enlarged}" height="${e.height * enlarged}" alt="${alt}">`
}
