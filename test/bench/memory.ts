/** Peak memory of whole renders, each in a process of its own: it must not grow with the clip. */
import { execFile } from 'node:child_process'
import { rm } from 'node:fs/promises'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { makeScene } from './scene.js'
import { round } from './timing.js'

/** One line of the memory's measurement. */
export interface MemoryRow {
  readonly name: string
  readonly size: string
  readonly frames: number
  readonly ours_mib: number
  readonly other: string
  readonly other_mib: number
  /** How many times more the longer clip needs. */
  readonly ratio: number
}

const CHILD = fileURLToPath(new URL('./memoryChild.js', import.meta.url))

/** A clip of `long` frames against one of `short`, an element over the whole frame. Needs some gigabytes on the disk. */
export async function memoryRow(
  name: string,
  folder: string,
  size: { readonly width: number; readonly height: number },
  [short, long]: readonly [number, number],
  workers: number,
): Promise<MemoryRow> {
  const peaks: number[] = []
  for (const frames of [short, long]) {
    const scene = await makeScene(join(folder, `memory-${frames}`), size, 1, frames)
    peaks.push(await peakOf(scene.shot, join(scene.folder, 'out.mov'), workers))
    await rm(scene.folder, { recursive: true })
  }
  const [few, many] = peaks as [number, number]
  return {
    name,
    size: `${size.width}x${size.height}`,
    frames: long,
    ours_mib: round(many),
    other: `${short}-frames`,
    other_mib: round(few),
    ratio: round(many / few),
  }
}

async function peakOf(shot: string, out: string, workers: number): Promise<number> {
  const { stdout } = await promisify(execFile)(process.execPath, [CHILD, shot, out, String(workers)])
  return Number(stdout)
}
