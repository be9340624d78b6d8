/**
 * `diagnose` over every file of the footage: the faults that it names, and whether they are there. What is there was judged from
 * the pictures by eye and from what the footage's README tells, not from what the program says.
 */
import { readdirSync, statSync } from 'node:fs'
import { join, relative, sep } from 'node:path'
import { Problem } from '../../src/core/index.js'
import { diagnoseFile } from '../../src/engine/diagnose/index.js'
import { footage, say } from './setting.js'

/** Faults by the end of their code. `there`: seen; `faint`: there to the letter, and hardly to be seen. */
interface Truth {
  readonly there?: readonly string[]
  readonly faint?: readonly string[]
}

const KNOWN: Readonly<Record<string, Truth>> = {
  // Flat 8×8 mosaic on asphalt, wall and skin, seen at four times its size.
  'plates/carpark-lockedoff.mp4': { there: ['blocks'] },
  'green/wall-320x192.mp4': { there: ['blocks'] },
  // Chroma blocks, seen three stops up.
  'noise/dark.mp4': { there: ['blocks'] },
  // Field of view and sharpness change at once at 18, 45 and 74.
  'plates/rooftop-jumps-vfr-360p.mp4': { there: ['drops'] },
  // JPEG's grid is there, 0.7 code high; nobody would see it.
  'noise/chart-iso800.0001.jpg': { faint: ['blocks'] },
  'noise/chart-iso800.0002.jpg': { faint: ['blocks'] },
  'noise/chart-iso800.0003.jpg': { faint: ['blocks'] },
  'noise/chart-iso800.0004.jpg': { faint: ['blocks'] },
  'noise/chart-iso800.0000.jpg': { faint: ['blocks'] },
  // Widths and heights read by another library: 568 and 569, 355 and 356, 177 and 178, and the like.
  'elements/soot': { there: ['sizes'] },
  'elements/flame': { there: ['sizes'] },
  'elements/flame-small': { there: ['sizes'] },
  // Its timestamps are not evenly spaced.
  'plates/rooftop-pq.mp4': { there: ['rate'] },
  // The animal sits on the lower edge.
  'green/pm_lemur_alpha.png': { there: ['border'] },
  'green/pm_lemur_alpha_fba.png': { there: ['border'] },
  // A collage of stills: its white is drawn, no light was lost.
  'green/pm_lemur_at_the_beach.png': { faint: ['clipped'] },
  // The faint halo reaches its frame: alpha 19, 7 and 9 of 255.
  'elements/stills/muzzle_01.png': { faint: ['border'] },
  'elements/stills/muzzle_02.png': { faint: ['border'] },
  'elements/stills/muzzle_03.png': { faint: ['border'] },
  // The photograph's frame cuts the glass.
  'exr/CandleGlass.exr': { there: ['border'] },
  'exr/Carrots.exr': { there: ['alpha'] },
  'exr/Test_AllHalfValues.exr': { there: ['finite'] },
  'exr/Test_BrightRingsNanInf.exr': { there: ['finite'] },
}

const FILES = /\.(mp4|mov|exr|png|jpg)$/

/** Files by themselves, folders of numbered frames as one. */
function files(folder: string): string[] {
  return readdirSync(folder)
    .sort()
    .flatMap((name) => {
      const path = join(folder, name)
      if (!statSync(path).isDirectory()) return FILES.test(name) ? [path] : []
      const inside = files(path)
      return inside.length > 10 && inside.every((f) => /\.\d{4}\.png$/.test(f)) ? [path] : inside
    })
}

async function judge(path: string): Promise<{ false: number; missed: number }> {
  const name = relative(footage, path).split(sep).join('/')
  const { there = [], faint = [] } = KNOWN[name] ?? {}
  const { findings, framesLookedAt } = await diagnoseFile(
    path,
    /\.(png|jpg)$/.test(path) ? { still: true } : {},
  )
  const faults = findings.filter((f) => f.verdict === 'fault')
  const names = faults.map((f) => f.code.replace(/^.*\./, ''))
  const words = faults.map((f, i) => {
    const known = names[i] as string
    const truth = there.includes(known) ? 'TRUE' : faint.includes(known) ? 'FAINT' : 'FALSE'
    return `${truth} (${f.confidence}) ${f.sentence}`
  })
  const missed = there.filter((t) => !names.includes(t))
  say(name, {
    frames: framesLookedAt,
    faults: words.join(' ') || 'none',
    ...(missed.length > 0 ? { MISSED: missed.join(' ') } : {}),
  })
  return { false: words.filter((w) => w.startsWith('FALSE')).length, missed: missed.length }
}

let wrong = 0
for (const path of files(footage)) {
  try {
    const { false: untrue, missed } = await judge(path)
    wrong += untrue + missed
  } catch (error) {
    if (!(error instanceof Problem)) throw error
    wrong++
    say(path, { REFUSED: error.detail.what })
  }
}
say('diagnosis of the footage', { wrong })
process.exitCode = wrong === 0 ? 0 : 1
