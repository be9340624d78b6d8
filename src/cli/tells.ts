import type { CheckResult, Tell } from '../engine/types.js'
import { tellNumbers } from '../report/tell-words.js'
import { plain } from './table.js'

/** So many tells are worth a person's first look. */
const FIRST = 5

/** The tells as sentences, heaviest first, then what could not be decided. */
export function tellsText(check: CheckResult, all: boolean): string {
  const open = check.tells.filter((t) => !t.meant)
  const shown = all ? check.tells : open.slice(0, FIRST)
  const lines = shown.map(tellText)
  if (open.length === 0) lines.unshift('No tells.')
  if (open.length > shown.length) lines.push(`${open.length - shown.length} more: see them with --all.`)
  const quiet = check.tells.length - open.length
  if (quiet > 0 && !all) lines.push(`${quiet} marked as meant.`)
  for (const u of check.undecided) lines.push(`cannot tell: ${u.tell}${of(u.element)}: ${u.why}`)
  return lines.join('\n')
}

function tellText(t: Tell): string {
  const [from, to] = t.frames
  const span = from === to ? `frame ${from}` : `frames ${from} to ${to}`
  const { x, y, width, height } = t.region
  const told = tellNumbers(t).map(([name, value]) => `${name.toLowerCase()} ${plain(value)}`)
  return [
    `${t.tell}${of(t.element)}${t.meant ? ', meant' : ''}: ${t.sentence}`,
    `  ${span}, ${width}×${height} at ${x}, ${y}`,
    `  ${told.join(', ')}, ${Math.round(100 * t.confidence)} % sure`,
    `  cause: ${t.cause}`,
    `  remedy: ${t.remedy}`,
  ].join('\n')
}

function of(element: string | undefined): string {
  return element === undefined ? '' : ` of ${element}`
}
