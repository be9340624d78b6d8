/** `rolling-shake` made and scored: an element that is streaked and skewed as the plate is, against one that is laid over as it stands. */
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { loadShot } from '../../../src/engine/document.js'
import { renderShot } from '../../../src/engine/render.js'
import { trackShot } from '../../../src/engine/track/track.js'
import type { Job, Variant } from '../../../src/engine/types.js'
import { normal } from '../chance.js'
import { bt709, tableOf, to420 } from '../curves.js'
import { Movie, writePng } from '../files.js'
import type { WorldScore } from '../run.js'
import { score } from '../score.js'
import { cameraFile, shakeDocument } from './document.js'
import { filmPanel, paintFrame } from './paint.js'
import { type ShakeOptions, type ShakeSetting, shakeSetting } from './setting.js'

const code = tableOf(bt709, 1)

export async function scoreShake(
  folder: string,
  seed: number,
  job: Job,
  say: (what: string) => void,
  options: ShakeOptions = {},
): Promise<WorldScore> {
  const began = performance.now()
  say('making rolling-shake')
  const s = shakeSetting(seed, options)
  await writeWorld(folder, s, options.samples)
  say('follow')
  const [camera] = await trackShot(join(folder, 'rolling-shake.shot.json'), {}, job)
  const known = (frame: number) => [...(camera?.data.frames.find((f) => f.frame === frame)?.matrix ?? [])]
  writeFileSync(join(folder, 'followed.json'), cameraFile(s, known))
  writeFileSync(join(folder, 'true.json'), cameraFile(s))
  const render = async (name: string, exact: boolean, variant: Variant) => {
    const path = join(folder, `clean.${name}.shot.json`)
    const document = shakeDocument(s, { clean: true, exact, camera: exact ? 'true.json' : 'followed.json' })
    writeFileSync(path, JSON.stringify(document))
    await trackShot(path, {}, job)
    say(`render ${name}, noise-free`)
    const { shot } = await loadShot(path)
    const out = join(folder, 'clean', name, `${name}.####.png`)
    await renderShot(shot, folder, { out, format: 'png-16', grain: false, variant }, job)
    return out
  }
  const plain = await render('plain', false, 'plain')
  const result = await render('result', false, 'result')
  const best = await render('best', true, 'result')
  say('score')
  const twin = (name: string) => join(folder, 'clean', name, `${name}.####.png`)
  const scores = await score({ plate: twin('plate'), truth: twin('truth'), plain, result, best })
  return {
    ...{ world: 'rolling-shake', seed, frames: s.frames, ...scores },
    ratio: scores.plain.deltaE / scores.result.deltaE,
    seconds: (performance.now() - began) / 1000,
  }
}

/** Same seed, same bytes. */
async function writeWorld(folder: string, s: ShakeSetting, samples: number | undefined): Promise<void> {
  for (const f of ['plate', 'truth']) mkdirSync(join(folder, 'clean', f), { recursive: true })
  const { width, height } = s
  const movie = await Movie.open({
    width,
    height,
    fps: 24,
    bits: 10,
    crf: 8,
    path: join(folder, 'plate.mov'),
  })
  for (let k = 0; k < s.frames; k++) {
    const pictures = paintFrame(s, k, samples)
    for (const name of ['plate', 'truth'] as const) {
      const file = `${name}.${String(k).padStart(4, '0')}.png`
      writePng(join(folder, 'clean', name, file), width, height, 3, deep(pictures[name].map(code)))
    }
    const noisy = pictures.plate.map((v, i) => code(v) + s.noise * normal(s.seed, i, k, 40))
    await movie.write(to420(noisy, width, height, 10))
  }
  await movie.finish()
  const panel = filmPanel(s)
  const rgba = new Float32Array(4 * panel.alpha.length)
  panel.alpha.forEach((a, p) => {
    rgba.set([...panel.straight.subarray(3 * p, 3 * p + 3)].map(code), 4 * p)
    rgba[4 * p + 3] = a
  })
  writePng(join(folder, 'panel.png'), panel.width, panel.height, 4, deep(rgba))
  writeFileSync(join(folder, 'rolling-shake.shot.json'), JSON.stringify(shakeDocument(s)))
}

function deep(v: Float32Array): Uint16Array {
  return Uint16Array.from(v, (x) => Math.min(1, Math.max(0, x)) * 65535 + 0.5)
}
