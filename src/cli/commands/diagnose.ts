import { basename } from 'node:path'
import { layoutName, Problem, primariesWords } from '../../core/index.js'
import {
  type DiagnoseOptions,
  diagnoseFile,
  type FileDiagnosis,
  type Finding,
  type Fix,
  fixShot,
  refusedFinding,
  type Suggestion,
} from '../../engine/diagnose/index.js'
import type { Job } from '../../engine/types.js'
import { isNote, type SourceInfo } from '../../media/index.js'
import { evidenceText } from '../evidence.js'
import { findingsText, type Outcome, problemText } from '../outcome.js'
import { counted, numbers, table } from '../table.js'

export interface DiagnoseArguments {
  readonly all?: true
  readonly layer?: string
  readonly still?: true
  /** A shot document that takes the suggestions. */
  readonly fix?: string
}

interface Diagnosis extends Partial<FileDiagnosis> {
  readonly path: string
  readonly problem?: Problem
  readonly fixes?: readonly Fix[]
}

/** What such a file is can be told, though no frame of it can be used: a finding, no wrong input. */
const RECOGNISED: ReadonlySet<string> = new Set([
  'media.index-missing',
  'media.no-frames',
  'media.no-video',
  'media.no-decoder',
  'media.unsupported-layout',
  'media.unsupported-matrix',
  'media.rotation-odd',
  'media.exr-deep',
  'media.exr-subsampled',
  'media.exr-integers',
  'media.exr-no-colour',
  'media.rotation-411',
])

/** Opens each file and says what is known of it, what is only assumed, and what its pixels say. */
export async function diagnose(
  paths: readonly string[],
  o: DiagnoseArguments = {},
  job: Job = {},
): Promise<Outcome> {
  const options: DiagnoseOptions = {
    ...(o.all === true ? { all: true } : {}),
    ...(o.layer === undefined ? {} : { layer: o.layer }),
    ...(o.still === true ? { still: true } : {}),
    ...(job.signal === undefined ? {} : { signal: job.signal }),
  }
  const files: Diagnosis[] = []
  for (const [i, path] of paths.entries()) {
    try {
      const found = await diagnoseFile(path, { ...options, ...progressOf(job, paths, i) })
      const fixes = o.fix === undefined ? {} : { fixes: await fixShot(o.fix, path, found.findings) }
      files.push({ path, ...found, ...fixes })
    } catch (e) {
      // Of several files the good ones are worth telling.
      if (!(e instanceof Problem) || (paths.length === 1 && !RECOGNISED.has(e.code))) throw e
      files.push({ path, problem: e, ...(RECOGNISED.has(e.code) && { findings: [refusedFinding(e, path)] }) })
    }
  }
  const failed = files.some((f) => f.problem !== undefined && !RECOGNISED.has(f.problem.code))
  const found = files.some((f) => f.findings?.some((x) => x.verdict === 'fault') === true)
  return { text: files.map(text).join('\n\n'), json: { files }, exit: failed ? 2 : found ? 1 : 0 }
}

/** Of several files progress says which one it is at. */
function progressOf({ onProgress }: Job, paths: readonly string[], i: number): Pick<Job, 'onProgress'> {
  if (onProgress === undefined) return {}
  if (paths.length === 1) return { onProgress }
  const item = `${basename(paths[i] as string)} (${i + 1} of ${paths.length})`
  return { onProgress: (p) => onProgress({ ...p, item }) }
}

function text({ path, info, problem, findings = [], framesLookedAt = 0, fixes }: Diagnosis): string {
  const told = table(findings.flatMap(findingRows))
  if (problem !== undefined && findings.length === 0) return problemText({ where: path, ...problem.detail })
  if (info === undefined) return `${path}\n${told}`
  // All else that opening it showed stands among the findings.
  const notes = findingsText(info.findings.filter(isNote))
  return [
    path,
    table(rows(info)),
    `  ${counted(framesLookedAt, 'frame')} of ${info.frameCount} looked at`,
    told,
    ...(notes === '' ? [] : [notes]),
    ...(fixes ?? []).map(fixText),
  ].join('\n')
}

/** What to do about a fault stands on a line of its own below it. */
function findingRows(f: Finding): string[][] {
  const sure = f.verdict === 'cannot tell' ? '' : `${Math.round(100 * f.confidence)} % sure`
  const suggested = (f.suggestions ?? []).map(suggestionText).join(', ')
  const advice = suggested === '' || f.verdict !== 'fault' ? '' : ` Suggested: ${suggested}.`
  const told = ['', f.verdict, f.code.replace('diagnose.', ''), sure, `${f.sentence}${advice}`]
  return f.remedy === undefined ? [told] : [told, ['', '', '', '', `→ ${f.remedy}`]]
}

function suggestionText(s: Suggestion): string {
  if ('field' in s && s.confidence !== undefined) return `perhaps ${s.field} "${s.value}"`
  return 'field' in s ? `${s.field} "${s.value}"` : `${s.treatment} ${numbers(s.value)}`
}

function fixText({ path, value, kept }: Fix): string {
  const said = typeof value === 'string' ? value : numbers(value)
  return kept === undefined ? `  written: ${path} = ${said}` : `  not written: ${path} = ${said}: ${kept}`
}

const KEPT = 'to keep a constant rate'

function rows(i: SourceInfo): string[][] {
  const e = i.encoding
  const from = i.encodingEvidence
  return [
    ['container', `${i.container} (${i.kind})`],
    ['codec', i.profile === undefined ? i.codec : `${i.codec}, ${i.profile}`],
    ['picture', `${i.width}×${i.height}, ${layoutName(i.layout)}`],
    ['fields', i.fieldOrder === undefined ? 'whole frames' : `interlaced, the ${i.fieldOrder} one first`],
    ['pixel', `${i.pixelAspect.num}:${i.pixelAspect.den}`],
    ...(i.rotation === 0 ? [] : [['rotation', `${i.rotation}° clockwise, applied`]]),
    ['range', e.range, evidenceText(from.range, 'known')],
    ['matrix', e.matrix, evidenceText(from.matrix, 'known')],
    ['curve', e.curve, evidenceText(from.curve, 'known')],
    ['primaries', primariesWords(e.primaries), evidenceText(from.primaries, 'known')],
    ...(i.layout.family === 'yuv' ? [['chroma', e.siting, evidenceText(from.siting, 'known')]] : []),
    ['alpha', ...alpha(i)],
    ['rate', `${i.rate.num}/${i.rate.den} frames/s`, evidenceText(i.rateEvidence, 'known')],
    ['duration', `${counted(i.frameCount, 'frame')}, ${i.durationSeconds.toFixed(3)} s`],
    ...(i.kind === 'sequence' ? [['first file', String(i.firstNumber)]] : []),
    ['timecode', i.timecode ?? 'none'],
    ['audio', i.audio ? `${i.audio.codec}, ${i.audio.channels} channels, ${i.audio.sampleRate} Hz` : 'none'],
    ...(i.conform.repeated.length === 0 ? [] : [['shown twice', listed(i.conform.repeated), KEPT]]),
    ...(i.conform.dropped.length === 0 ? [] : [['left out', listed(i.conform.dropped), KEPT]]),
    ...(i.dataWindow === undefined
      ? []
      : [['data', `${i.dataWindow.width}×${i.dataWindow.height} at ${i.dataWindow.x}, ${i.dataWindow.y}`]]),
    ...(i.exr === undefined ? [] : exrRows(i.exr)),
  ].map(([name = '', ...cells]) => [`  ${name}`, ...cells])
}

function exrRows({ layer, layers, parts }: NonNullable<SourceInfo['exr']>): string[][] {
  const window = (w: { x: number; y: number; width: number; height: number }) =>
    `${w.width}×${w.height} at ${w.x}, ${w.y}`
  return [
    ['layer', layer || '(main)'],
    ['layers', layers.filter((l) => l !== '').join(', ')],
    ...parts.flatMap((p, k) => [
      [
        parts.length === 1 ? 'part' : `part ${k + 1}`,
        `${p.name === undefined ? '' : `${p.name}: `}${p.compression}, ${p.tiled ? 'tiles' : 'scan lines'}`,
        p.channels
          .map((c) => `${c.name} ${c.type}${c.step === undefined ? '' : ` (1 in ${c.step})`}`)
          .join(', '),
      ],
      ['windows', `display ${window(p.displayWindow)}`, `data ${window(p.dataWindow)}`],
      [
        'colour',
        p.chromaticities === undefined ? 'no chromaticities (BT.709)' : primariesWords(p.chromaticities),
      ],
    ]),
  ]
}

function alpha(i: SourceInfo): string[] {
  if (!i.layout.alpha) return ['none']
  return i.alphaHint === undefined
    ? ['yes', 'assumed: nothing says whether straight or premultiplied']
    : [i.alphaHint.kind, `${i.alphaHint.known ? 'known' : 'assumed'}: ${i.alphaHint.why}`]
}

function listed(frames: readonly number[]): string {
  const shown = frames.slice(0, 12).join(' ')
  return frames.length > 12 ? `${shown} … (${frames.length} frames)` : `${shown}`
}
