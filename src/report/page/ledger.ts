import type { Rgb } from '../../core/index.js'
import type { LedgerRow } from '../../engine/types.js'
import { formatBare, formatValues, unitWords } from '../format.js'
import { type Html, html } from '../html.js'
import { partWords, shownRow } from '../quantity.js'
import { evidenceWords, typeset } from '../words.js'
import type { PageModel } from './page.js'
import { LINKS } from './path.js'

/** Links down; plate, element, treatment, result and verdict across; one table an element. */
export function ledger(m: PageModel): Html {
  const groups = new Map<string, LedgerRow[]>()
  for (const row of m.check.ledger.map(shownRow)) {
    const name = row.element ?? ''
    groups.set(name, [...(groups.get(name) ?? []), row])
  }
  if (groups.size === 0)
    return html`<section class="column"><h2>Ledger</h2><p>Nothing was measured.</p></section>`
  return html`<section class="column ledger" id="ledger"><h2>Ledger</h2>
<p>Light is in per cent of diffuse white, a white sheet in the light that the shot is exposed for; middle grey is 18. Three numbers are red, green, blue. Press a quantity to see what it is and where its number came from. What has no verdict was not checked.</p>
${[...groups].map(([name, rows]) => table(m, name, rows))}</section>`
}

function table(m: PageModel, name: string, rows: readonly LedgerRow[]): Html {
  const groups = [...LINKS, ...others(rows)]
    .map((link) => ({ link, rows: rows.filter((r) => r.link === link) }))
    .filter((g) => g.rows.length > 0)
  return html`<div class="scroll"><table><caption>${name === '' ? 'The plate' : name}</caption>
<thead><tr><th scope="col">Link</th><th scope="col">Quantity</th><th scope="col">Unit</th><th scope="col">Plate</th><th scope="col">Element</th><th scope="col">Treatment</th><th scope="col">Result</th><th scope="col">Verdict</th></tr></thead>
${groups.map((g) => html`<tbody>${g.rows.map((r, i) => line(m, r, i === 0 ? g.rows.length : 0))}</tbody>\n`)}</table></div>
`
}

function others(rows: readonly LedgerRow[]): string[] {
  const known: readonly string[] = LINKS
  return [...new Set(rows.map((r) => r.link).filter((link) => !known.includes(link)))]
}

function line(m: PageModel, r: LedgerRow, span: number): Html {
  const head = span > 0 && html`<th scope="rowgroup" rowspan="${span}"><i></i>${r.link}</th>`
  const cells = [
    value(m, r.plate, r),
    value(m, r.source, r),
    value(m, r.treatment, r),
    r.resultUnit === undefined ? value(m, r.result, r) : html`${formatValues(r.result ?? [], r.resultUnit)}`,
  ].map((cell) => html`<td class="number">${cell}</td>`)
  return html`<tr>${head}<td>${quantity(r)}</td><td class="unit">${unitWords(r.unit)}</td>${cells}<td class="verdict ${r.verdict.replace(' ', '-')}">${r.verdict !== 'not checked' && r.verdict}</td></tr>
`
}

function quantity(r: LedgerRow): Html {
  const why = r.evidence === undefined ? undefined : evidenceWords(r.evidence, r.unit)
  const lines = [r.meaning, why, r.note].filter((line) => line !== undefined)
  const name = [r.quantity, partWords(r)].filter((part) => part !== undefined).join(', ')
  if (lines.length === 0) return html`${name}`
  return html`<details><summary>${name}</summary>${lines.map((line) => html`<p>${typeset(line)}</p>`)}</details>`
}

function value(m: PageModel, v: readonly number[] | undefined, row: LedgerRow): Html {
  if (v === undefined) return html``
  // What the sensor link measures are amounts of grain, not colours.
  if (row.unit !== 'linear' || row.link === 'sensor' || v.length !== 3)
    return html`${formatBare(v, row.unit)}`
  const [r, g, b] = m.swatch(v as unknown as Rgb)
  return html`<i class="swatch" style="background:rgb(${r},${g},${b})"></i>${formatBare(v, row.unit)}`
}
