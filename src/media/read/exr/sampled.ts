/** Channels of a part whose channels are of several sizes, read here: the codec library refuses them all. */
import { type Plane, Problem } from '../../../core/index.js'
import { halfToFloat } from '../../half.js'
import { damagedBlock } from './expand.js'
import type { ExrHeader, ExrPart } from './header.js'
import { blocksOf } from './isolate.js'
import type { ExrLayer } from './layers.js'
import { unpackBlock } from './unpack/block.js'
import { extentOf } from './unpack/extent.js'

export function isSampled(p: ExrPart): boolean {
  return p.channels.some((c) => c.stepX !== 1 || c.stepY !== 1)
}

/**
 * The layer's channels, each at its own size.
 * @throws Problem `media.damaged-frame`
 */
export function readSampled(bytes: Buffer, h: ExrHeader, layer: ExrLayer, where: string): Plane[] {
  const part = h.parts[layer.part] as ExrPart
  const { x, y, width, height } = part.dataWindow
  const whole = part.channels.every(
    (c) => [x, width].every((v) => v % c.stepX === 0) && [y, height].every((v) => v % c.stepY === 0),
  )
  if (!whole || part.tile !== undefined) {
    throw new Problem({
      code: 'media.damaged-frame',
      what: 'The OpenEXR header contradicts itself',
      where,
      expected: 'scan lines whose window is a multiple of the steps between samples',
      received: `${width}×${height} at ${x}, ${y}${part.tile === undefined ? '' : ', tiles'}`,
      remedy: 'Render or copy this file again.',
    })
  }
  const used = layer.channels.map((name) => part.channels.findIndex((c) => c.name === name))
  const planes = used.map((i) => {
    const { stepX, stepY } = part.channels[i] as ExrPart['channels'][number]
    return {
      width: width / stepX,
      height: height / stepY,
      data: new Float32Array((width / stepX) * (height / stepY)),
    }
  })
  for (const [n, block] of blocksOf(bytes, h, part, layer.part, where).entries()) {
    try {
      const top = block.readInt32LE(0)
      const rows = Math.min(part.blockRows, y + height - top)
      if (top < y || rows < 1) throw new RangeError('it lies outside the data window')
      const samples = unpackBlock(block.subarray(8), part, top, rows)
      for (const [k, i] of used.entries()) {
        const channel = part.channels[i] as ExrPart['channels'][number]
        const before = extentOf(channel, width, y, top - y).rows
        const { data, width: own } = planes[k] as (typeof planes)[number]
        copy(samples[i] as Buffer, channel.type === 'half', data, before * own)
      }
    } catch (error) {
      throw damagedBlock(where, n, error)
    }
  }
  return planes
}

function copy(from: Buffer, half: boolean, to: Float32Array, at: number): void {
  const count = from.length / (half ? 2 : 4)
  for (let i = 0; i < count; i++)
    to[at + i] = half ? halfToFloat(from.readUInt16LE(2 * i)) : from.readFloatLE(4 * i)
}
