/** The program as a person calls it. */
import { spawnSync } from 'node:child_process'
import { readFileSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import type { TrackData } from '../../../src/shot/index.js'
import { writePng } from '../../worlds/files.js'

const MAIN = resolve('dist', 'cli', 'main.js')

/** What it says; ends the trial where it ends with more than a warning. */
export function platefit(folder: string, ...args: readonly string[]): string {
  const run = spawnSync(process.execPath, [MAIN, ...args], { cwd: folder, encoding: 'utf8' })
  if ((run.status ?? 3) > 1) throw new Error(`platefit ${args.join(' ')}\n${run.stdout}\n${run.stderr}`)
  return run.stdout
}

export function edit(file: string, change: (shot: Json) => Json): void {
  writeFileSync(file, JSON.stringify(change(JSON.parse(readFileSync(file, 'utf8')) as Json), null, 2))
}

export type Json = { [key: string]: unknown }

/** What came of a track, read from the file that the document names. */
export function trackOf(folder: string, document: string, id: string): TrackData {
  const shot = JSON.parse(readFileSync(join(folder, document), 'utf8')) as {
    tracks: { id: string; data: { file: string } }[]
  }
  const file = shot.tracks.find((t) => t.id === id)?.data.file ?? ''
  return JSON.parse(readFileSync(join(folder, file), 'utf8')) as TrackData
}

/** A chequered card with a border, `cell` px a field, by name `card.png`. */
export function writeCard(path: string, columns: number, rows: number, cell: number): void {
  const [width, height] = [(columns + 1) * cell, (rows + 1) * cell]
  const data = new Uint8Array(4 * width * height)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const [i, j] = [Math.floor(x / cell - 0.5), Math.floor(y / cell - 0.5)]
      const border = i < 0 || j < 0 || i >= columns || j >= rows
      const v = border ? 150 : (i + j) % 2 === 0 ? 40 : 210
      data.set([v, v, border ? 90 : v, 255], 4 * (y * width + x))
    }
  }
  writePng(path, width, height, 4, data)
}
