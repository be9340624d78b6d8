/** TIFF 6.0: little-endian header, one directory of 12-byte entries, one strip of 32-bit floats (sample format 3). */
export function floatTiff(width: number, height: number, pixels: Buffer): Buffer {
  const start = 8 + 2 + 12 * 10 + 4 + 12
  const entries: [tag: number, type: 3 | 4, count: number, value: number][] = [
    [256, 3, 1, width],
    [257, 3, 1, height],
    [258, 3, 3, start - 12],
    [259, 3, 1, 1],
    [262, 3, 1, 2],
    [273, 4, 1, start],
    [277, 3, 1, 3],
    [278, 3, 1, height],
    [279, 4, 1, pixels.length],
    [339, 3, 3, start - 6],
  ]
  const out = Buffer.alloc(start)
  out.write('II*\0', 'latin1')
  out.writeUInt32LE(8, 4)
  out.writeUInt16LE(entries.length, 8)
  for (const [i, [tag, type, count, value]] of entries.entries()) {
    out.writeUInt16LE(tag, 10 + 12 * i)
    out.writeUInt16LE(type, 12 + 12 * i)
    out.writeUInt32LE(count, 14 + 12 * i)
    out.writeUInt32LE(value, 18 + 12 * i)
  }
  for (const i of [0, 1, 2]) {
    out.writeUInt16LE(32, start - 12 + 2 * i)
    out.writeUInt16LE(3, start - 6 + 2 * i)
  }
  return Buffer.concat([out, pixels])
}
