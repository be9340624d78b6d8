/** The sheet: pure text from a model; the same model gives the same text. */
import type { KnownFacts, SuitResult, Verdict } from '../../engine/suit/types.js'
import type { Encoded } from '../budget.js'
import { formatCount } from '../format.js'
import { Html, html } from '../html.js'
import { findingWords, typeset } from '../words.js'
import { item, type Views } from './item.js'
import { knownWords } from './known.js'
import { SHEET_STYLE } from './style.js'

export interface SheetModel {
  readonly result: SuitResult
  readonly known: KnownFacts
  readonly plate: Encoded
  /** In the order of the elements. */
  readonly views: readonly Views[]
  /** Size of the plate's frame, and the placed height of the best element where both are known. */
  readonly frame: { readonly width: number; readonly height: number }
  readonly version: string
}

const POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
/** Up to so many elements the tables stand open. */
const OPEN = 1

export function sheetHtml(m: SheetModel): string {
  const { elements, unread, plate } = m.result
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${new Html(POLICY)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Elements for ${plate.path}</title>
<style>${new Html(SHEET_STYLE)}</style>
</head>
<body>
<header class="column">
<p class="file">${plate.path}</p>
<h1>${elements.length === 1 ? 'Does it suit this plate?' : 'What suits this plate'}</h1>
<p class="lead">${summary(m.result)}</p>
</header>
<main>
${asked(m)}
<section class="column suited">
${elements.length > OPEN && sift(m.result)}
<ol${m.views.some((v) => v.laid !== undefined) && html` class="placed"`}>
${elements.map((e, i) => item(e, i + 1, m.views[i] as Views, elements.length <= OPEN))}</ol>
</section>
${unread.length > 0 && html`<section class="column quiet unread"><h2>Could not be read</h2><ul>${unread.map((u) => html`<li><b>${u.path}</b>: ${findingWords(u.problem)}</li>`)}</ul></section>`}
<section class="column facts"><h2>How it was judged</h2>
<p>${typeset('The score is a product over the lines, so that one bad fault sinks an element however good the rest is. A line that is fine counts 0.9 to 1, a poor one 0.5 to 0.9, an unfit one less, and one that cannot be told 0.8. The limits stand in each line; they are choices.')}</p>
<p>${typeset('Each element was looked at on a handful of frames. What happens between them was not seen. Pictures went through the viewing transform; what has alpha stands on middle grey.')}</p>
<p>Made by Platefit ${m.version}.</p>
</section>
</main>
</body>
</html>
`.text
}

function summary({ elements, unread }: SuitResult): string {
  const [only] = elements
  if (elements.length === 1 && only !== undefined && unread.length === 0)
    return `${typeset(only.verdict)}, ${Math.round(only.score)} of 100.`
  const tally = (['fine', 'cannot tell', 'poor', 'unfit'] as const).flatMap((v) => {
    const n = elements.filter((e) => e.verdict === v).length
    return n === 0 ? [] : [`${n} ${v === 'cannot tell' ? 'fine as far as can be told' : v}`]
  })
  const read =
    elements.length === 0
      ? 'No element could be read'
      : `${formatCount(elements.length, 'element')}: ${tally.join(', ')}`
  return `${read}.${unread.length > 0 ? ` ${unread.length} could not be read.` : ''}`
}

function asked({ result, known, plate, frame }: SheetModel): Html {
  const { told, missing } = knownWords(known, result)
  return html`<div class="band"><div class="asked">
<figure><img src="${plate.src}" width="${plate.width}" height="${plate.height}" alt="The plate">${place(result, known.at, frame)}</figure>
<div><dl>${told.map(([name, text]) => html`<div><dt>${name}</dt><dd>${typeset(text, false)}</dd></div>`)}</dl>
${missing.length > 0 && html`<p class="open">Not told, so lines cannot tell: ${options(missing.join('; '))}.</p>`}</div>
</div></div>`
}

/** Names of options are kept on one line. */
function options(text: string): Html {
  const parts = text.split(/(--[a-z-]+)/)
  return html`${parts.map((part, i) => (i % 2 === 1 ? html`<span class="option">${part}</span>` : part))}`
}

/** A cross where the element's middle lies, and the box that the first of the list takes up there. */
function place({ elements }: SuitResult, at: KnownFacts['at'], frame: SheetModel['frame']): Html | false {
  if (at === undefined) return false
  const arm = frame.width / 60
  const size = elements.find((e) => e.placed !== undefined)?.placed
  const box =
    size !== undefined &&
    html`<rect x="${at.x - size.width / 2}" y="${at.y - size.height / 2}" width="${size.width}" height="${size.height}"/>`
  const words =
    size === undefined
      ? 'The cross: its middle. How large it stands is not told.'
      : `The cross: its middle; the box: the picture of ${elements.length === 1 ? 'the element' : 'the first of the list'}, ${Math.round(size.width)}×${Math.round(size.height)} px.`
  return html`<svg viewBox="0 0 ${frame.width} ${frame.height}" role="img" aria-label="${words}">${box}<path d="M${at.x - arm} ${at.y}h${2 * arm}M${at.x} ${at.y - arm}v${2 * arm}"/></svg><figcaption>${typeset(words)}</figcaption>`
}

function sift({ elements }: SuitResult): Html {
  const count = (...verdicts: Verdict[]) => elements.filter((e) => verdicts.includes(e.verdict)).length
  return html`<input type="radio" name="sift" id="all" checked><input type="radio" name="sift" id="unspoilt"><input type="radio" name="sift" id="spotless">
<div class="sift"><label for="all">All ${elements.length}</label><label for="unspoilt">Without the unfit ${count('fine', 'poor', 'cannot tell')}</label><label for="spotless">Without the poor ${count('fine', 'cannot tell')}</label></div>`
}
