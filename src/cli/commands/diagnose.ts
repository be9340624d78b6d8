import { layoutName, Problem, primariesWords } from '../../core/index.js'
import { type OpenOptions, openSource, type SourceInfo } from '../../media/index.js'
import { evidenceText } from '../evidence.js'
import { findingsText, type Outcome, problemText } from '../outcome.js'
import { counted, table } from '../table.js'

interface Diagnosis {
  readonly path: string
  readonly info?: SourceInfo
  readonly problem?: Problem
}

/** Opens each file and says what is known of it and what is only assumed. */
export async function diagnose(paths: readonly string[], options: OpenOptions = {}): Promise<Outcome> {
  const files: Diagnosis[] = []
  for (const path of paths) {
    try {
      files.push({ path, info: await infoOf(path, options) })
    } catch (e) {
      // Of several files the good ones are worth telling.
      if (!(e instanceof Problem) || paths.length === 1) throw e
      files.push({ path, problem: e })
    }
  }
  const failed = files.some((f) => f.problem !== undefined)
  const found = files.some((f) => f.info !== undefined && f.info.findings.length > 0)
  return { text: files.map(text).join('\n\n'), json: { files }, exit: failed ? 2 : found ? 1 : 0 }
}

async function infoOf(path: string, options: OpenOptions): Promise<SourceInfo> {
  const source = await openSource(path, options)
  await source.close()
  return source.info
}

function text({ path, info, problem }: Diagnosis): string {
  if (info === undefined)
    return problem === undefined ? path : problemText({ where: path, ...problem.detail })
  const findings = findingsText(info.findings)
  return [path, table(rows(info)), ...(findings === '' ? [] : [findings])].join('\n')
}

function rows(i: SourceInfo): string[][] {
  const e = i.encoding
  const from = i.encodingEvidence
  return [
    ['container', `${i.container} (${i.kind})`],
    ['codec', i.profile === undefined ? i.codec : `${i.codec}, ${i.profile}`],
    ['picture', `${i.width}×${i.height}, ${layoutName(i.layout)}`],
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
    ...(i.conform.repeated.length === 0 ? [] : [['repeated', listed(i.conform.repeated)]]),
    ...(i.conform.dropped.length === 0 ? [] : [['left out', listed(i.conform.dropped)]]),
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
    ['layer', layer || 'main'],
    ['layers', layers.map((l) => l || 'main').join(', ')],
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
    : [i.alphaHint.kind, `${i.alphaHint.why === 'frame tag' ? 'known' : 'assumed'}: ${i.alphaHint.why}`]
}

function listed(frames: readonly number[]): string {
  const shown = frames.slice(0, 12).join(' ')
  return frames.length > 12 ? `${shown} … (${frames.length} frames)` : `${shown}`
}
