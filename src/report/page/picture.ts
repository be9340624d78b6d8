import type { Encoded } from '../budget.js'
import { type Html, html } from '../html.js'

/** An embedded picture; what found no room says so. */
export function picture(e: Encoded | undefined, alt: string): Html {
  if (e === undefined) return html`<p class="absent">${alt}: left out to keep this page small.</p>`
  return html`<img src="${e.src}" width="${e.width}" height="${e.height}" alt="${alt}">`
}
