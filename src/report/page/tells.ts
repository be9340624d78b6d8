import { intersect } from '../../core/index.js'
import type { Tell, Undecided } from '../../engine/types.js'
import { formatCount, formatFrameList, formatFrames, formatRegion } from '../format.js'
import { type Html, html } from '../html.js'
import { tellMethod, tellNumbers } from '../tell-words.js'
import { certainty, typeset } from '../words.js'
import type { PageModel } from './page.js'
import { picture } from './picture.js'

const OPEN = 5
/** Beyond these the page says how many more there are. */
const LISTED = 200

/** The worst tell, the others, the meant ones, and what cannot be told. */
export function tells(m: PageModel): Html {
  const [worst, ...others] = m.speaking
  return html`${worst === undefined ? nothing(m) : card(m, worst, 0)}
${others.length > 0 && rest(m, others)}
${m.meant.length > 0 && meant(m.meant)}
${m.check.undecided.length > 0 && undecided(m.check.undecided)}`
}

function nothing(m: PageModel): Html {
  const looked = m.check.ledger.filter((r) => r.verdict === 'fits' || r.verdict === 'tell')
  const names = [...new Set(looked.map((r) => comparedName(r.quantity)))]
  const what =
    names.length === 0
      ? 'Nothing could be compared'
      : `Compared on ${formatFrameList(m.check.framesLookedAt)} of the finished file: ${names.join(', ')}`
  return html`<section class="column worst"><h2>Nothing that was looked at gives it away.</h2>
<p>${what}. What was not looked at is not vouched for.</p></section>`
}

/** `plate black` of the ledger is a black that was compared. */
function comparedName(quantity: string): string {
  const words: Readonly<Record<string, string>> = {
    transmittance: 'haze',
    'blur radius': 'edges',
    'element variance': 'grain',
    cast: 'light thrown',
  }
  return words[quantity] ?? quantity.toLowerCase().replace(/^plate /, '')
}

function rest(m: PageModel, others: readonly Tell[]): Html {
  const cards = others.slice(0, LISTED).map((t, i) => card(m, t, i + 1))
  const folded = cards.slice(OPEN - 1)
  const more = others.length - cards.length
  return html`<section class="column others"><h2>The other tells</h2>
${cards.slice(0, OPEN - 1)}
${
  folded.length > 0 &&
  html`<details><summary>${formatCount(folded.length, 'lighter tell')}</summary>${folded}${
    more > 0 && html`<p>${formatCount(more, 'tell')} more in the check's own list.</p>`
  }</details>`
}</section>`
}

function card(m: PageModel, t: Tell, index: number): Html {
  const worst = index === 0
  const how = tellMethod(t)
  const body = html`${crops(m, index)}
<div class="told">
<dl>
${tellNumbers(t).map(([name, value]) => pair(name, value, 'number'))}
${pair('When', formatFrames(t.frames))}${pair('Where', formatRegion(t.region))}${pair('How sure', certainty(t.confidence))}
</dl>
<p><b>Why</b> ${typeset(t.cause)}</p>
<p><b>What helps</b> ${typeset(t.remedy)}</p>
${how !== undefined && html`<details><summary>How it was measured</summary><p>${typeset(how)}</p></details>`}
${where(m, t)}</div>`
  const kicker = html`<p class="kicker">${worst ? 'The worst tell' : `Tell ${index + 1}`} · ${t.link}${t.element !== undefined && ` · ${t.element}`}</p>`
  return worst
    ? html`<section class="column worst">${kicker}<h2>${typeset(t.sentence)}</h2>${body}</section>`
    : html`<article>${kicker}<h3>${typeset(t.sentence)}</h3>${body}</article>\n`
}

function pair(name: string, value: string, kind = ''): Html {
  return html`<div class="${kind}"><dt>${name}</dt><dd>${value}</dd></div>`
}

function crops(m: PageModel, index: number): Html | undefined {
  const shown = m.crops.get(index)
  if (shown === undefined) return undefined
  const names = { plate: 'Plate', result: 'Result', plain: 'Plain over', truth: 'Truth' }
  if (!shown.roles.some((role) => m.pictures.has(`crop:${index}:${role}`))) {
    return html`<p class="note">The crop is left out to keep this page small.</p>`
  }
  return html`<div class="shown"><figure class="crops" style="--w:${shown.width}px;--n:${shown.roles.length}"><div>${shown.roles.map(
    (role) =>
      html`<div>${picture(m.pictures.get(`crop:${index}:${role}`), `${names[role]}, frame ${shown.frame}`)}<span>${names[role]}</span></div>`,
  )}</div><figcaption>Frame ${shown.frame}, ${shown.width} px across, enlarged${shown.note}</figcaption></figure></div>`
}

/** The frame as an outline and the tell's place in it. */
function where(m: PageModel, t: Tell): Html {
  const { width, height } = m.size
  const r = intersect(t.region, { x: 0, y: 0, width, height })
  const least = width / 60
  return html`<svg class="where" viewBox="0 0 ${width} ${height}" role="img" aria-label="Place in the frame"><rect width="${width}" height="${height}" class="frame"/><rect x="${r.x}" y="${r.y}" width="${Math.max(least, r.width)}" height="${Math.max(least, r.height)}" class="spot"/></svg>`
}

function meant(list: readonly Tell[]): Html {
  return html`<section class="column quiet"><h2>Meant so</h2><ul>
${list.map((t) => html`<li>${typeset(t.sentence)} <span>${t.element ?? 'plate'}, ${formatFrames(t.frames)}</span></li>\n`)}</ul></section>`
}

function undecided(list: readonly Undecided[]): Html {
  return html`<section class="column quiet"><h2>Undecided</h2><ul>
${list.map((u) => html`<li><b>${u.tell.replaceAll('-', ' ')}</b>${u.element !== undefined && ` of ${u.element}`} <span>${u.link}</span>: ${typeset(u.why, false)}</li>\n`)}</ul></section>`
}
