/** What a file is, as label and text. */
import {
  type ColourEncoding,
  type EncodingTags,
  type Evidence,
  layoutName,
  primariesWords,
} from '../core/index.js'
import type { SourceInfo } from '../media/index.js'
import { formatBytes, formatCount, formatRate, formatSeconds } from './format.js'
import type { FileFacts, Role } from './types.js'
import { evidenceWords, findingWords } from './words.js'

const ROLES: Readonly<Record<Role, string>> = {
  plate: 'Plate',
  result: 'Result',
  plain: 'Plain over',
  truth: 'Truth',
}

const PARTS: readonly (keyof EncodingTags)[] = ['curve', 'primaries', 'matrix', 'range', 'siting']

/** `used` is the encoding that the page's pictures were decoded with; where it is not the file's own, that is said. */
export function fileFacts(
  role: Role,
  name: string,
  info: SourceInfo,
  used: ColourEncoding,
  bytes: number | undefined,
): FileFacts {
  const lines: [string, string][] = [
    [
      'File',
      `${info.container.split(',').slice(0, 2).join('/')}, ${info.codec}${info.profile === undefined ? '' : ` ${info.profile}`}, ${layoutName(info.layout)}`,
    ],
    ['Size', `${info.width} × ${info.height} pixels${bytes === undefined ? '' : `, ${formatBytes(bytes)}`}`],
    ['Length', `${formatCount(info.frameCount, 'frame')}, ${formatSeconds(info.durationSeconds)}`],
    ['Rate', factWords(formatRate(info.rate), info.rateEvidence)],
  ]
  if (info.timecode !== undefined) lines.push(['Timecode', info.timecode])
  for (const part of PARTS) lines.push([capital(part), encodingWords(info, used, part)])
  return { role: ROLES[role], name, lines, findings: info.findings.map(findingWords) }
}

function encodingWords(info: SourceInfo, used: ColourEncoding, part: keyof EncodingTags): string {
  const words = (e: ColourEncoding) => (part === 'primaries' ? primariesWords(e.primaries) : e[part])
  if (words(used) !== words(info.encoding)) {
    return `${words(used)}, as the plate's, since this file was made for it; on its own it reads as ${words(info.encoding)}.`
  }
  return factWords(words(used), info.encodingEvidence[part])
}

/** What was read is told with its source, what was not, or not for certain, with the reason and how sure it is. */
function factWords(value: string, e: Evidence): string {
  return e.kind === 'measured' && e.confidence === 1
    ? `${value} (${e.method})`
    : `${value}. ${evidenceWords(e, '–')}`
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}
