/**
 * Every file of the footage: opened, and the plate's own samples left alone where nothing touches them (a null render and
 * a render with soot over it, sample by sample). What cannot be opened is a failure.
 */
import { readdirSync, statSync } from 'node:fs'
import { basename, join } from 'node:path'
import { Problem } from '../../src/core/index.js'
import { type DeliveryFormat, openSource } from '../../src/media/index.js'
import { parseShot } from '../../src/shot/index.js'
import { plateIsSacred } from '../proof/sacred.js'
import { footage, say } from './setting.js'

const PICTURES = /\.(mp4|mov|exr|png|jpg)$/

function files(folder: string): string[] {
  return readdirSync(folder).flatMap((name) => {
    const path = join(folder, name)
    if (!statSync(path).isDirectory()) return PICTURES.test(name) ? [path] : []
    const inside = files(path)
    // A folder of numbered frames is one sequence.
    return inside.length > 10 && inside.every((f) => /\.\d{4}\.png$/.test(f)) ? inside.slice(0, 1) : inside
  })
}

async function trial(path: string): Promise<boolean> {
  const name = basename(path)
  try {
    const source = await openSource(path)
    const { width, height, frameCount, layout } = source.info
    await source.close()
    const soot = join(footage, 'elements', 'soot', 'soot.####.png')
    const shot = parseShot(
      {
        platefit: 1,
        plate: { file: path },
        elements: [
          {
            id: 'soot',
            file: soot,
            alpha: 'straight',
            nature: 'absorbs',
            trimFrames: 8,
            position: { x: width / 2, y: height / 2 },
            scale: (0.6 * Math.min(width, height)) / 569,
            treatments: { 'lens.blurRadius': { value: [1.4], evidence: { kind: 'set' } } },
          },
        ],
      },
      name,
    )
    const format: DeliveryFormat = layout.float
      ? 'exr-half'
      : layout.family === 'rgb'
        ? 'png-16'
        : layout.bits > 8 || layout.subY === 0
          ? 'prores-422-hq'
          : 'h264-preview'
    const s = await plateIsSacred(shot, footage, format, Math.min(frameCount, 3))
    say(name, {
      size: `${width}×${height}`,
      to: format,
      'null differs': s.nullDiffers < 0 ? 'other layout' : s.nullDiffers,
      strayed: s.strayed,
      changed: s.changed,
    })
    return s.strayed === 0 && s.nullDiffers <= 0 && s.changed > 0
  } catch (error) {
    if (!(error instanceof Problem)) throw error
    say(name, { refused: error.code, because: error.message.replace(footage, '') })
    return false
  }
}

const wrong: string[] = []
for (const path of files(footage)) if (!(await trial(path))) wrong.push(basename(path))
console.log(wrong.length === 0 ? 'everything: all fine' : `everything: wrong on ${wrong.join(', ')}`)
process.exitCode = wrong.length === 0 ? 0 : 1
