/** A plain writer of uncompressed float OpenEXR scanline files, after the published file layout; shares no code with the reader. */
export function exrFile(o: {
  /** In alphabetical order, as the format asks. */
  readonly channels: Readonly<Record<string, Float32Array>>
  /** x, y, width, height. */
  readonly data: readonly [number, number, number, number]
  readonly display: readonly [number, number, number, number]
  readonly chromaticities?: readonly number[]
}): Buffer {
  const i32 = (...v: number[]) => Buffer.from(Int32Array.from(v).buffer)
  const f32 = (...v: number[]) => Buffer.from(Float32Array.from(v).buffer)
  const attribute = (name: string, type: string, value: Buffer) =>
    Buffer.concat([Buffer.from(`${name}\0${type}\0`), i32(value.length), value])
  const window = ([x, y, w, h]: readonly [number, number, number, number]) => i32(x, y, x + w - 1, y + h - 1)
  const names = Object.keys(o.channels)
  const list = Buffer.concat([
    ...names.map((n) => Buffer.concat([Buffer.from(`${n}\0`), i32(2, 0, 1, 1)])),
    Buffer.from([0]),
  ])
  const head = Buffer.concat([
    i32(0x01312f76, 2),
    attribute('channels', 'chlist', list),
    ...(o.chromaticities ? [attribute('chromaticities', 'chromaticities', f32(...o.chromaticities))] : []),
    attribute('compression', 'compression', Buffer.from([0])),
    attribute('dataWindow', 'box2i', window(o.data)),
    attribute('displayWindow', 'box2i', window(o.display)),
    attribute('lineOrder', 'lineOrder', Buffer.from([0])),
    attribute('pixelAspectRatio', 'float', f32(1)),
    attribute('screenWindowCenter', 'v2f', f32(0, 0)),
    attribute('screenWindowWidth', 'float', f32(1)),
    Buffer.from([0]),
  ])
  const [, top, width, height] = o.data
  const size = 4 * width * names.length
  const table = Buffer.alloc(8 * height)
  const rows: Buffer[] = []
  for (let y = 0; y < height; y++) {
    table.writeBigUInt64LE(BigInt(head.length + table.length + y * (8 + size)), 8 * y)
    rows.push(
      i32(top + y, size),
      ...Object.values(o.channels).map((v) => f32(...v.subarray(y * width, (y + 1) * width))),
    )
  }
  return Buffer.concat([head, table, ...rows])
}
