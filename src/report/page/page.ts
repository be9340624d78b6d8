/** The page: pure text from a model; the same model gives the same text. */
import type { Rgb } from '../../core/index.js'
import type { CheckResult, Tell } from '../../engine/types.js'
import type { Encoded } from '../budget.js'
import { formatCount, formatFrameList } from '../format.js'
import type { CropShown } from '../gather.js'
import { Html, html } from '../html.js'
import type { FileFacts } from '../types.js'
import { channels } from './channels.js'
import { facts } from './facts.js'
import { ledger } from './ledger.js'
import { lightPath } from './path.js'
import { SCRIPT } from './script.js'
import { STYLE } from './style.js'
import { tells } from './tells.js'
import { wipe } from './wipe.js'

export interface PageModel {
  readonly title: string
  /** Name of the finished file. */
  readonly rendered: string
  readonly check: CheckResult
  /** Heaviest first. */
  readonly speaking: readonly Tell[]
  readonly meant: readonly Tell[]
  /** Frame of the shot that the large pictures show. */
  readonly frame: number
  readonly size: { readonly width: number; readonly height: number }
  /** Where the wipe starts, in pixels from the left. */
  readonly cutX: number
  /** By index into `speaking`. */
  readonly crops: ReadonlyMap<number, CropShown>
  /** By key; what found no room is absent. */
  readonly pictures: ReadonlyMap<string, Encoded>
  readonly facts: readonly FileFacts[]
  readonly swatch: (colour: Rgb) => Rgb
  readonly viewing: string
  readonly version: string
}

const POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'"

export function pageHtml(m: PageModel): string {
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${new Html(POLICY)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${m.rendered !== '' && `${m.rendered}: `}${m.title}</title>
<style>${new Html(STYLE)}</style>
</head>
<body>
<header class="column">
<p class="file">${m.rendered}</p>
<h1>${m.title}</h1>
<p class="lead">${summary(m)}</p>
${lightPath(m)}
</header>
<main>
${wipe(m)}
${tells(m)}
${channels(m)}
${ledger(m)}
${facts(m)}
</main>
<script>${new Html(SCRIPT)}</script>
</body>
</html>
`.text
}

function summary(m: PageModel): string {
  const n = m.speaking.length
  const parts = [n === 0 ? 'No tell' : formatCount(n, 'tell')]
  if (m.meant.length > 0) parts.push(`${m.meant.length}${n > 0 ? ' more' : ''} meant so`)
  if (m.check.undecided.length > 0) parts.push(`${m.check.undecided.length} undecided`)
  return `${parts.join(', ')}. Looked at: ${formatFrameList(m.check.framesLookedAt)}.`
}
