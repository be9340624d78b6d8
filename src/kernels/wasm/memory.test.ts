import { describe, expect, it } from 'vitest'
import { applyGain } from '../linear/apply.js'
import { filledFloats, newBytes } from './fill.js'
import { copyImage, newImage } from './images.js'
import { addressOf, duringFrame, duringScratch, memory, newFloats, takeBytes } from './memory.js'

const region = { x: 0, y: 0, width: 3, height: 2 }

describe('the memory of the kernels', () => {
  it('holds the pictures of a frame, and no others', () => {
    expect(addressOf(newImage(region).data)).toBeUndefined()
    duringFrame(() => {
      const image = newImage(region)
      expect(addressOf(image.data)).toBeGreaterThan(0)
      expect(addressOf(copyImage(image).data)).not.toBe(addressOf(image.data))
    })
    expect(addressOf(newFloats(4))).toBeUndefined()
  })

  it('works on a picture where it is: in place in its own memory, carried there and back from elsewhere', () => {
    duringFrame(() => {
      const image = newImage(region)
      image.data.fill(2)
      const before = takeBytes(16)
      applyGain(image, [2, 3, 4])
      // Nothing was carried: the next block follows the last one.
      expect(takeBytes(16) - before).toBeLessThan(200)
      expect([...image.data.subarray(0, 4)]).toEqual([4, 6, 8, 2])
    })
    const outside = newImage(region)
    outside.data.fill(2)
    applyGain(outside, [2, 3, 4])
    expect([...outside.data.subarray(20)]).toEqual([4, 6, 8, 2])
  })

  it('is used again: a hundred frames take no more than one, and blocks inside a frame stay apart', () => {
    const frame = () =>
      duringFrame(() => {
        const a = newImage({ x: 0, y: 0, width: 512, height: 512 })
        const b = newImage({ x: 0, y: 0, width: 512, height: 512 })
        a.data.fill(1)
        duringScratch(() => new Float32Array(memory.buffer, takeBytes(2 ** 20), 2 ** 18).fill(7))
        expect(b.data.every((v) => v === 0)).toBe(true)
        expect(a.data.every((v) => v === 1)).toBe(true)
      })
    frame()
    const size = memory.buffer.byteLength
    for (let i = 0; i < 100; i++) frame()
    expect(memory.buffer.byteLength).toBe(size)
  })

  it('fills and copies what is asked for, of any length, and no other block', () => {
    for (let length = 1; length < 70; length++) {
      duringFrame(() => {
        const bytes = newBytes(length)
        const ones = filledFloats(length, 1)
        const more = filledFloats(length, 3)
        const { data } = copyImage({ region, data: ones })
        expect(bytes.length).toBe(length)
        expect(bytes.every((v) => v === 0)).toBe(true)
        expect(ones.every((v) => v === 1)).toBe(true)
        expect(more.every((v) => v === 3)).toBe(true)
        expect([...data]).toEqual([...ones])
        bytes.fill(255)
      })
    }
  })

  it('keeps views whole when it grows, and gives blocks back after a failure', () => {
    duringFrame(() => {
      const small = newImage(region)
      small.data.fill(5)
      const large = newFloats(40 * 2 ** 20)
      expect(large.length).toBe(40 * 2 ** 20)
      applyGain(small, [2, 2, 2])
      expect(small.data[0]).toBe(10)
      // Bytes that make it grow once more.
      expect(newBytes(300 * 2 ** 20).length).toBe(300 * 2 ** 20)
    })
    const before = memory.buffer.byteLength
    for (let i = 0; i < 3; i++) {
      expect(() =>
        duringFrame(() => {
          newFloats(40 * 2 ** 20)
          throw new Error('stop')
        }),
      ).toThrow('stop')
    }
    expect(memory.buffer.byteLength).toBe(before)
  })
})
