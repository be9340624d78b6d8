import { describe, expect, it } from 'vitest'
import { at, type Matrix3 } from '../matrix.js'
import type { MotionFile } from './file.js'
import { onPlate } from './onPlate.js'
import { readMotionCsv } from './readCsv.js'

const plate = { width: 1920, height: 1080 }
const read = (text: string) => onPlate(readMotionCsv(text, 'a.csv'), plate)
type Kind<K> = Extract<MotionFile, { kind: K }>

describe('a file of another picture', () => {
  const place = (head: string) => (read(`${head}frame,x,y\n0,10,20\n`) as Kind<'points'>).points[0]?.seen[0]

  it('is scaled to the plate, y down, pixel by pixel', () => {
    expect(place('')).toEqual([0, 10, 20])
    expect(place('# size: 960 540\n')).toEqual([0, 20, 40])
    expect(place('# y: up\n')).toEqual([0, 10, 1060])
    expect(place('# size: 960 540\n# y: up\n')).toEqual([0, 20, 1040])
    // The pixel in the lower left corner has its middle half a pixel from both edges, however it is written.
    const corner = read('# y: up\n# pixel centres: whole\nframe,x,y\n0,0,0\n') as Kind<'points'>
    expect(corner.points[0]?.seen[0]).toEqual([0, 0.5, 1079.5])
    expect(place('# size: 960 1080\n')).toEqual([0, 20, 20])
  })

  it('moves by its matrix what lies there as it did', () => {
    const rows = 'frame,m1,m2,m3,m4,m5,m6,m7,m8,m9\n0,1.1,0.05,7,-0.02,0.9,3,0.0001,-0.0002,1\n'
    const one = (head: string) => (read(head + rows) as Kind<'matrices'>).matrices[0]?.matrix as Matrix3
    const [x, y] = at(one('# size: 1920 1080\n'), 300, 200)
    // (300, 200) of the file is twice that of the plate, or lies 200 pixels of the file above its lower edge.
    expect(at(one('# size: 960 540\n'), 600, 400)).toEqual([
      expect.closeTo(2 * x, 8),
      expect.closeTo(2 * y, 8),
    ])
    expect(at(one('# y: up\n'), 300, 1080 - 200)).toEqual([expect.closeTo(x, 8), expect.closeTo(1080 - y, 8)])
  })

  it('has its lens scaled', () => {
    const file = read('# size: 960 540\n# middle: 470 280\n# y: up\nframe,pan,tilt,roll,focal\n0,1,2,3,700\n')
    expect(file).toMatchObject({ middle: [940, 520], angles: [{ pan: 1, tilt: 2, roll: 3, focalPx: 1400 }] })
  })

  it('says what it takes for granted, and what it scaled', () => {
    const row = 'frame,x,y\n0,1,2\n'
    const known = '# first frame: 0\n# pixel centres: half\n'
    expect(read(known + row).assumed).toEqual([
      expect.stringMatching(/1920×1080 is assumed/),
      expect.stringMatching(/down is assumed/),
    ])
    expect(read(`${known}# y: up\n# size: 1920 1080\n${row}`).assumed).toEqual([])
    expect(read(`${known}# y: up\n# size: 960 540\n${row}`).assumed).toEqual([
      'The file was made on a picture of 960×540, and is scaled to the plate’s 1920×1080.',
    ])
    expect(read(`${known}# y: up\n# size: 720 576\n${row}`).assumed).toEqual([
      expect.stringMatching(/whose shape is another/),
    ])
  })
})
