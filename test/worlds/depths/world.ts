/** Writes the files of `three-depths`: what an artist would have, its noise-free twins, and its path as it truly is. */
import { createHash } from 'node:crypto'
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { openRecord } from '../../../src/engine/sources.js'
import { trackKeys } from '../../../src/engine/track/key.js'
import { parseShot, type TrackData } from '../../../src/shot/index.js'
import { normal } from '../chance.js'
import { bt709, tableOf, to420 } from '../curves.js'
import { Movie, writePng } from '../files.js'
import { depthsDocument, type TrackFile } from './document.js'
import { filmBush, makeScene, paintFrame, type Scene } from './paint.js'
import { type DepthsOptions, type DepthsSetting, depthsSetting } from './setting.js'
import { followed, internalParallax } from './truth.js'

const code = tableOf(bt709, 1)

/** Same seed, same bytes. */
export async function makeThreeDepths(
  folder: string,
  seed: number,
  options: DepthsOptions = {},
): Promise<DepthsSetting> {
  const s = depthsSetting(seed, options)
  for (const f of ['clean/plate', 'clean/truth', 'bush', 'bush-front', 'bush-back'])
    mkdirSync(join(folder, f), { recursive: true })
  const scene = makeScene(s)
  const movie = { width: s.width, height: s.height, fps: 24, bits: 10, crf: 8 } as const
  const plate = await Movie.open({ ...movie, path: join(folder, 'plate.mov') })
  for (let k = 0; k < s.frames; k++) {
    const { plate: clean, truth } = paintFrame(scene, k)
    const number = String(k).padStart(4, '0')
    const coded = clean.map(code)
    const write = (name: string, v: Float32Array) =>
      writePng(join(folder, 'clean', name, `${name}.${number}.png`), s.width, s.height, 3, deep(v))
    write('plate', coded)
    write('truth', truth.map(code))
    await plate.write(
      to420(
        coded.map((v, i) => v + s.noise * normal(s.seed, i, k, 40)),
        s.width,
        s.height,
        10,
      ),
    )
  }
  await plate.finish()
  for (const [name, layers] of [
    ['bush', [0, 1]],
    ['bush-front', [0]],
    ['bush-back', [1]],
  ] as const)
    writeBush(folder, name, scene, layers)
  writeDocuments(folder, s)
  return s
}

function writeBush(folder: string, name: string, scene: Scene, layers: readonly (0 | 1)[]): void {
  const { size, straight, alpha } = filmBush(scene, layers)
  const rgba = new Float32Array(4 * size * size)
  for (let p = 0; p < size * size; p++) {
    for (let c = 0; c < 3; c++) rgba[4 * p + c] = code(straight[3 * p + c])
    rgba[4 * p + 3] = alpha[p]
  }
  const file = deep(rgba)
  for (let k = 0; k < scene.s.frames; k++)
    writePng(join(folder, name, `${name}.${String(k).padStart(4, '0')}.png`), size, size, 4, file)
}

function writeDocuments(folder: string, s: DepthsSetting): void {
  writeJson(folder, 'three-depths.shot.json', depthsDocument(s, followed(s), 'flat'))
  writeJson(folder, 'true.json', { world: 'three-depths', setting: s, internalPx: internalParallax(s) })
  const path = s.poses.map((p, k) => [k, p.right, p.down, p.forward].join(','))
  writeFileSync(join(folder, 'path.csv'), `frame,right,down,forward\n${path.join('\n')}\n`)
}

/** The documents of the noise-free twins go by what was followed on the noisy plate: the same places, under the twins' own keys. */
export async function writeTwins(
  folder: string,
  s: DepthsSetting,
  tracked: readonly TrackData[],
): Promise<void> {
  for (const how of ['still', 'flat', 'layers'] as const) {
    const name = `clean.${how}`
    const shot = parseShot(depthsDocument(s, followed(s), how, true), name)
    const plate = await openRecord(shot.plate, folder)
    const keyOf = await trackKeys(shot, folder, plate.info)
    await plate.close()
    mkdirSync(join(folder, 'tracks'), { recursive: true })
    const files = new Map<string, TrackFile>()
    for (const track of shot.tracks) {
      const made = tracked.find((t) => t.id === track.id)
      if (made === undefined) continue
      const text = `${JSON.stringify({ ...made, madeFrom: keyOf(track) })}\n`
      const file = `tracks/${name}-${track.id}.json`
      writeFileSync(join(folder, file), text)
      files.set(track.id, { file, sha256: createHash('sha256').update(text).digest('hex') })
    }
    writeJson(
      folder,
      `${name}.shot.json`,
      depthsDocument(s, followed(s), how, true, (id) => files.get(id)),
    )
  }
}

function writeJson(folder: string, name: string, value: unknown): void {
  writeFileSync(join(folder, name), `${JSON.stringify(value, null, 2)}\n`)
}

function deep(v: Float32Array): Uint16Array {
  return Uint16Array.from(v, (x) => Math.min(1, Math.max(0, x)) * 65535 + 0.5)
}
