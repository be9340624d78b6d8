/** One element on the sheet: its pictures, its faults in words, a mark for each line, and the whole table folded away. */
import type { Line, Suited } from '../../engine/suit/types.js'
import { isUnasked } from '../../engine/suit/verdict.js'
import type { Encoded } from '../budget.js'
import { formatFrameList } from '../format.js'
import { type Html, html } from '../html.js'
import { typeset } from '../words.js'

export interface Views {
  readonly own: Encoded
  readonly laid: Encoded | undefined
}

export function item(e: Suited, rank: number, views: Views, open: boolean): Html {
  return html`<li class="${classOf(e.verdict)}"><div class="views">
${figure(views.own, e.path, 'By itself')}${views.laid !== undefined && figure(views.laid, `${e.path} in its place`, 'Laid over plainly, nothing fitted')}</div>
<div><h2><span class="rank">${rank}</span><span>${e.path}</span><span class="score">${Math.round(e.score)}<small>of 100, ${e.verdict}</small></span></h2>
<p class="note">${typeset(e.facts)}${e.said !== undefined && `; ${typeset(e.said, false)}`}</p>
${faults(e.lines)}
<ol class="dots" aria-label="Line by line">${e.lines.map((l) => html`<li class="${classOf(l.verdict)}" title="${l.verdict}: ${l.figure}"><i></i>${l.name}</li>`)}</ol></div>
<details${open && html` open`}><summary>All lines</summary>${table(e)}</details></li>
`
}

function figure(picture: Encoded, alt: string, caption: string): Html {
  return html`<figure><img src="${picture.src}" width="${picture.width}" height="${picture.height}" alt="${alt}"><figcaption>${caption}</figcaption></figure>`
}

/** The worst first, each in one sentence. */
function faults(lines: readonly Line[]): Html {
  const bad = (['unfit', 'poor'] as const).flatMap((v) => lines.filter((l) => l.verdict === v))
  const shown = bad.slice(0, 3)
  const more = bad.length - shown.length
  const open = lines.filter((l) => l.verdict === 'cannot tell' && !isUnasked(l))
  if (bad.length === 0)
    return html`<p class="fault">Nothing that ${open.length > 0 ? 'could be told' : 'was looked at'} speaks against it.</p>${open.map((l) => html`<p class="note"><b>${typeset(l.name)}: cannot tell.</b> ${typeset(l.remedy ?? l.why)}.</p>`)}`
  return html`${shown.map((l) => html`<p class="fault"><b class="${l.verdict}">${typeset(l.name)}: ${typeset(l.figure, false)}.</b> ${l.remedy !== undefined && `${typeset(l.remedy)}.`}</p>`)}${more > 0 && html`<p class="note">${more} more below.</p>`}`
}

function table({ lines, frames }: Suited): Html {
  return html`<table><tbody>${lines.map(
    (l) =>
      html`<tr><td>${l.name}</td><td class="verdict"><i class="mark ${classOf(l.verdict)}"></i>${l.verdict}</td><td>${typeset(l.figure, false)}</td><td>${typeset(l.why)}.${l.remedy !== undefined && html` <span class="do">${typeset(l.remedy)}.</span>`}</td></tr>`,
  )}</tbody></table><p class="note">Looked at: ${formatFrameList(frames)}.</p>`
}

function classOf(verdict: string): string {
  return verdict.replace(' ', '-')
}
