/** The whole job on a world with known truth: make, fit, render, check, report, and score against the truth. */
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { checkShot } from '../../src/engine/check.js'
import { editShot, loadShot } from '../../src/engine/document.js'
import { fitShot } from '../../src/engine/fit.js'
import { renderShot } from '../../src/engine/render.js'
import type { CheckResult, Job, RenderOptions } from '../../src/engine/types.js'
import { writeReport } from '../../src/report/index.js'
import { mergeFit } from '../../src/shot/index.js'
import { makeBreakwater } from './breakwater.js'
import { cleanDocument } from './document.js'
import { type Score, score } from './score.js'

export interface WorldScore {
  readonly world: string
  readonly seed: number
  readonly frames: number
  readonly plain: Score
  readonly result: Score
  readonly best: Score
  readonly ratio: number
  readonly seconds: number
}

/** How much nearer to the truth than plain over a result has to be; less ends `worlds` and `demo` with 1. Asked of every world. */
export const LEAST_RATIO = 4

/** A line where one of these is less, else nothing. */
export function shortOf(ratios: readonly number[]): string[] {
  return ratios.some((r) => !(r >= LEAST_RATIO))
    ? [`below a ratio of ${LEAST_RATIO}: something is measured or applied wrongly`]
    : []
}

type Say = (what: string) => void

/** Makes the world of this seed in `folder` and scores the program on it. */
export async function scoreWorld(folder: string, seed: number, job: Job, say: Say): Promise<WorldScore> {
  const began = performance.now()
  say('making the world')
  const { name, setting } = await makeBreakwater(folder, seed)
  const scores = await scoreFit(folder, job, say)
  const seconds = (performance.now() - began) / 1000
  const ratio = scores.plain.deltaE / scores.result.deltaE
  return { world: name, seed, frames: setting.frames, ...scores, ratio, seconds }
}

/** Fits the noisy files of a world that stands in `folder`, and scores the fit on the noise-free twins. */
export async function scoreFit(folder: string, job: Job, say: Say) {
  const document = join(folder, 'breakwater.shot.json')
  say('measure and fit')
  const { shot } = await loadShot(document)
  const { shot: fitted } = await fitShot(shot, folder, job)
  const written = await editShot(document, (now) => mergeFit(now, fitted))

  const fit = join(folder, 'clean.fit.shot.json')
  writeFileSync(
    fit,
    JSON.stringify(cleanDocument(structuredClone(written) as Parameters<typeof cleanDocument>[0])),
  )
  const clean = async (name: string, path: string, variant: RenderOptions['variant']) => {
    say(`render ${name}, noise-free`)
    const { shot } = await loadShot(path)
    const out = join(folder, 'clean', name, `${name}.####.png`)
    await renderShot(
      shot,
      folder,
      { out, format: 'png-16', grain: false, ...(variant ? { variant } : {}) },
      job,
    )
    return out
  }
  const plain = await clean('plain', fit, 'plain')
  const result = await clean('result', fit, 'result')
  const best = await clean('best', await completed(folder, job), 'result')
  say('score')
  const twin = (name: string) => join(folder, 'clean', name, `${name}.####.png`)
  return score({ plate: twin('plate'), truth: twin('truth'), plain, result, best })
}

/** The true document with what is no parameter but a reading of the plate (the mean light of a lit surface) measured. */
async function completed(folder: string, job: Job): Promise<string> {
  const { shot } = await loadShot(join(folder, 'true.shot.json'))
  const { shot: fitted } = await fitShot(shot, folder, job)
  const path = join(folder, 'clean.true.shot.json')
  const whole = mergeFit(shot, fitted)
  writeFileSync(
    path,
    JSON.stringify(cleanDocument(structuredClone(whole) as Parameters<typeof cleanDocument>[0])),
  )
  return path
}

/** Renders the world's own files, checks the result and writes the report. */
export async function showWorld(folder: string, job: Job, say: Say): Promise<CheckResult> {
  const { shot } = await loadShot(join(folder, 'breakwater.shot.json'))
  const rendered = join(folder, 'result.mov')
  const plain = join(folder, 'plain.mov')
  say('render result')
  await renderShot(shot, folder, { out: rendered, format: 'prores-422-hq' }, job)
  say('render plain')
  await renderShot(shot, folder, { out: plain, format: 'prores-422-hq', variant: 'plain' }, job)
  say('check')
  const check = await checkShot(shot, folder, rendered, job)
  say('report')
  const truth = join(folder, 'truth.mov')
  const title = 'breakwater: a world with known truth'
  await writeReport(
    { shot, folder, check, rendered, plain, truth, title, out: join(folder, 'report.html') },
    job,
  )
  return check
}

/** `plain 9.12 (p95 30.1)  result 2.50 (p95 6.2)  best 2.01 (p95 5.0)  ratio 3.65  118 s`. */
export function scoreText(s: WorldScore): string {
  const one = (name: string, v: Score) => `${name} ${v.deltaE.toFixed(2)} (p95 ${v.p95.toFixed(2)})`
  const parts = [one('plain', s.plain), one('result', s.result), one('best', s.best)]
  return `${s.world}, seed ${s.seed}: ΔE2000 ${parts.join(', ')}; ratio ${s.ratio.toFixed(2)}; ${s.seconds.toFixed(0)} s`
}
