import { formatFrames } from '../format.js'
import { type Html, html } from '../html.js'
import type { Role } from '../types.js'
import type { PageModel } from './page.js'

const NAMES: Readonly<Record<Role, string>> = {
  plate: 'Plate',
  result: 'Result',
  plain: 'Plain over',
  truth: 'Truth',
}

/** The result under a picture that wipes over it: plain over, plate or truth. */
export function wipe(m: PageModel): Html {
  const result = m.pictures.get('wipe:result')
  const others = (['plain', 'plate', 'truth'] as const).filter((role) => m.pictures.has(`wipe:${role}`))
  if (result === undefined || others.length === 0) {
    return html`<section class="band"><p class="column">There is no picture to wipe: it found no room.</p></section>`
  }
  const cut = cutAt(m)
  const missing = html`<p class="column note">There is no plain over of this shot, so the wipe lays the result against the plate.</p>`
  return html`<section class="band" aria-labelledby="wipe-title">
<h2 id="wipe-title" class="hidden">Wipe</h2>
<div class="wipe">
${others.map(
  (role, i) =>
    html`<input type="radio" name="against" id="against-${role}" value="${role}"${i === 0 && html` checked`}>\n`,
)}<div class="choice" aria-hidden="false"><span>Left of the line</span>${others.map(
    (role) => html`<label for="against-${role}">${NAMES[role]}</label>`,
  )}<span class="end">${formatFrames([m.frame, m.frame])} of the shot</span></div>
<div class="stage" style="--ratio:${result.width}/${result.height};--cut:${cut}%">
<img src="${result.src}" width="${result.width}" height="${result.height}" alt="The result on frame ${m.frame}">
${others.map((role) => {
  const e = m.pictures.get(`wipe:${role}`)
  return html`<div class="over ${role}"><img src="${e?.src}" width="${e?.width}" height="${e?.height}" alt="${NAMES[role]} on frame ${m.frame}"></div><span class="tag left ${role}">${NAMES[role]}</span>\n`
})}<span class="tag right">Result</span>
<i class="line"></i>
<input type="range" class="handle" min="0" max="1000" value="${10 * cut}" aria-label="Where the wipe stands: left shows the other picture, right shows the result" hidden>
</div>
</div>
${others.includes('plain') ? undefined : missing}
</section>`
}

/** In whole per cent of the width, clear of the borders. */
function cutAt(m: PageModel): number {
  return Math.round(Math.min(85, Math.max(15, (100 * m.cutX) / m.size.width)))
}
