import { type Html, html } from '../html.js'
import type { PageModel } from './page.js'

/** What the files are, how the pictures were made, and by which version. */
export function facts(m: PageModel): Html {
  return html`<section class="column facts"><h2>Facts</h2>
${m.facts.map(
  (f) => html`<h3>${f.role} <span>${f.name}</span></h3>
<dl>${f.lines.map(([name, text]) => html`<div><dt>${name}</dt><dd>${text}</dd></div>`)}</dl>
${f.findings.length > 0 && html`<ul>${f.findings.map((text) => html`<li>${text}</li>`)}</ul>`}
`,
)}<h3>Pictures</h3>
<p>${m.viewing}</p>
<p>Frames are counted from 0 at the head of the shot. Made by Platefit ${m.version}.</p>
</section>`
}
