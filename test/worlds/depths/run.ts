/** `three-depths` scored: a flat carried by the track of its depth against one left where it was put, and the budget against the truth. */
import { join } from 'node:path'
import { budgetOf } from '../../../src/engine/budget.js'
import { loadShot } from '../../../src/engine/document.js'
import { renderShot } from '../../../src/engine/render.js'
import { trackShot } from '../../../src/engine/track/track.js'
import type { Job } from '../../../src/engine/types.js'
import { type Score, score } from '../score.js'
import type { How } from './document.js'
import type { DepthsOptions } from './setting.js'
import { firstBeyond, internalParallax } from './truth.js'
import { makeThreeDepths, writeTwins } from './world.js'

export interface DepthsScore {
  readonly world: 'three-depths'
  readonly seed: number
  readonly frames: number
  /** Left where it was put; carried as one flat; carried as two by depth. */
  readonly plain: Score
  readonly result: Score
  readonly best: Score
  readonly ratio: number
  /** First frame on which the bush's parts shift by more than the limit: in truth, by the tracks, by a path from elsewhere. */
  readonly firstFrame: Readonly<Record<'truth' | 'tracks' | 'path', number | undefined>>
  readonly seconds: number
}

export async function scoreDepths(
  folder: string,
  seed: number,
  job: Job,
  say: (what: string) => void,
  options: DepthsOptions = {},
): Promise<DepthsScore> {
  const began = performance.now()
  say('making three-depths')
  const s = await makeThreeDepths(folder, seed, options)
  say('follow')
  const tracked = await trackShot(join(folder, 'three-depths.shot.json'), {}, job)
  await writeTwins(
    folder,
    s,
    tracked.map((t) => t.data),
  )
  const render = async (how: How) => {
    say(`render ${how}, noise-free`)
    const { shot } = await loadShot(join(folder, `clean.${how}.shot.json`))
    const out = join(folder, 'clean', how, `${how}.####.png`)
    await renderShot(shot, folder, { out, format: 'png-16', grain: false }, job)
    return out
  }
  const [plain, result, best] = [await render('still'), await render('flat'), await render('layers')]
  say('score')
  const twin = (name: string) => join(folder, 'clean', name, `${name}.####.png`)
  const scores = await score({ plate: twin('plate'), truth: twin('truth'), plain, result, best })
  const { shot } = await loadShot(join(folder, 'three-depths.shot.json'))
  const tracks = await budgetOf(shot, folder, 'bush', {})
  const path = await budgetOf(shot, folder, 'bush', { file: join(folder, 'path.csv') })
  return {
    world: 'three-depths',
    seed,
    frames: s.frames,
    ...scores,
    ratio: scores.plain.deltaE / scores.result.deltaE,
    firstFrame: {
      truth: firstBeyond(internalParallax(s), tracks.limits.internalPx),
      tracks: tracks.first.internalPx,
      path: path.first.internalPx,
    },
    seconds: (performance.now() - began) / 1000,
  }
}

/** One line, as the other worlds have it. */
export function depthsText(s: DepthsScore): string {
  const one = (name: string, v: Score) => `${name} ${v.deltaE.toFixed(2)} (p95 ${v.p95.toFixed(2)})`
  const { truth, tracks, path } = s.firstFrame
  const parts = [one('still', s.plain), one('carried', s.result), one('two flats', s.best)]
  return `${s.world}, seed ${s.seed}: ΔE2000 ${parts.join(', ')}; ratio ${s.ratio.toFixed(2)}; own parts shift from frame ${truth ?? '–'}, by tracks ${tracks ?? '–'}, by the path ${path ?? '–'}; ${s.seconds.toFixed(0)} s`
}
