/** The pieces of work that threads do for a world. Same result in any order and on any number of threads. */
import { join } from 'node:path'
import { to420 } from './curves.js'
import {
  fireFileFrame,
  fireFileSize,
  fireGrain,
  smokeFileFrame,
  smokeFileSize,
  smokeGrain,
} from './effect/files.js'
import { addGlow } from './effect/glow.js'
import { effectAt, type Ready } from './effect/in-scene.js'
import { writePng } from './files.js'
import { runFire } from './fluid/fire.js'
import type { Recording } from './fluid/record.js'
import { runSmoke } from './fluid/smoke.js'
import { type Layers, renderRows } from './scene/base.js'
import { Scene } from './scene/scene.js'
import { Sea } from './scene/sea.js'
import { renderSea } from './scene/water.js'
import { encode, expose, noiseField } from './sensor.js'
import type { Setting } from './setting.js'

export type Task =
  | { readonly kind: 'smoke'; readonly records: number }
  | { readonly kind: 'fire'; readonly records: number }
  | { readonly kind: 'rows'; readonly y0: number; readonly y1: number; readonly layers: Layers }
  | {
      readonly kind: 'frame'
      readonly frame: number
      readonly layers: Layers
      readonly ready: Ready
      readonly folder: string
    }
  | { readonly kind: 'smokeFile'; readonly frame: number; readonly ready: Ready; readonly folder: string }
  | { readonly kind: 'fireFile'; readonly frame: number; readonly ready: Ready; readonly folder: string }

export type Done = Recording | { plate: Uint8Array; truth: Uint8Array } | { fire: Uint8Array } | null

/** One thread's tools, made when first needed. */
export class Hands {
  private readonly s: Setting
  private made: Scene | undefined
  private water: Sea | undefined

  constructor(s: Setting) {
    this.s = s
  }

  do(task: Task): Done {
    const { s } = this
    switch (task.kind) {
      case 'smoke':
        return runSmoke({
          size: 512 * s.fluid,
          seed: s.seed,
          lean: s.smoke.lean,
          records: task.records,
          lead: 120,
        })
      case 'fire':
        return runFire({ size: 256 * s.fluid, seed: s.seed, records: task.records, lead: 45 })
      case 'rows':
        renderRows(s, this.scene(), task.y0, task.y1, task.layers)
        return null
      case 'frame':
        return this.frame(task)
      case 'smokeFile':
        return this.smokeFile(task)
      case 'fireFile':
        return this.fireFile(task)
    }
  }

  private scene(): Scene {
    this.made ??= new Scene(this.s)
    return this.made
  }

  private frame({ frame, layers, ready, folder }: Extract<Task, { kind: 'frame' }>): Done {
    const { s } = this
    this.water ??= new Sea(s, this.scene().sky)
    const sea = new Float32Array(3 * s.width * s.height)
    renderSea(s, this.water, layers.sea, frame, sea)
    const { plate, truth } = combine(s, layers, sea, effectAt(ready, frame))
    const number = String(frame).padStart(4, '0')
    writePng(join(folder, 'clean', 'plate', `plate.${number}.png`), s.width, s.height, 3, deep(encode(plate)))
    writePng(join(folder, 'clean', 'truth', `truth.${number}.png`), s.width, s.height, 3, deep(encode(truth)))
    const field = noiseField(s, frame)
    const shot = encode(expose(s, plate, field, 0))
    const real = encode(expose(s, truth, field, 7919 % (s.width * s.height)))
    return { plate: to420(shot, s.width, s.height, 10), truth: to420(real, s.width, s.height, 10) }
  }

  private smokeFile({ frame, ready, folder }: Extract<Task, { kind: 'smokeFile' }>): Done {
    const { s } = this
    const clean = smokeFileFrame(ready, frame)
    const { width, height } = smokeFileSize(s)
    const number = String(frame).padStart(4, '0')
    writePng(join(folder, 'clean', 'smoke', `smoke.${number}.png`), width, height, 4, deep(clean))
    writePng(join(folder, 'smoke', `smoke.${number}.png`), width, height, 4, smokeGrain(s, clean, frame))
    return null
  }

  private fireFile({ frame, ready, folder }: Extract<Task, { kind: 'fireFile' }>): Done {
    const { s } = this
    const clean = fireFileFrame(ready, frame)
    const { width, height } = fireFileSize(s)
    const number = String(frame).padStart(4, '0')
    writePng(join(folder, 'clean', 'fire', `fire.${number}.png`), width, height, 3, deep(clean))
    return { fire: to420(fireGrain(s, clean, frame), width, height, 8) }
  }
}

/** Plate and truth in linear light from the layers, the sea and the effect. */
export function combine(
  s: Setting,
  layers: Layers,
  sea: Float32Array,
  e: ReturnType<typeof effectAt>,
): { plate: Float32Array; truth: Float32Array } {
  const n = s.width * s.height
  const plate = new Float32Array(3 * n)
  const truth = new Float32Array(3 * n)
  for (let i = 0; i < n; i++) {
    const behind = 1 - layers.fenceShare[i] - layers.nearShare[i]
    const open = 1 - layers.fenceShare[i]
    for (let c = 0; c < 3; c++) {
      const j = 3 * i + c
      const before = layers.fence[j] + layers.near[j]
      const far = layers.far[j] + sea[j]
      plate[j] = before + far
      truth[j] = before + far * e.through[i] + behind * e.smoke[j] + open * e.fire[j]
    }
  }
  addGlow(s, layers, e.lamps, truth)
  return { plate, truth }
}

/** 0 to 1 to 16 bits. */
function deep(v: Float32Array): Uint16Array {
  const out = new Uint16Array(v.length)
  for (let i = 0; i < v.length; i++) out[i] = Math.min(1, Math.max(0, v[i])) * 65535 + 0.5
  return out
}
