/** A plain writer of uncompressed OpenEXR scan-line files, of floats unless told otherwise, after the published file layout; shares no code with the reader. */

export interface ExrDraft {
  /** In alphabetical order, as the format asks. */
  readonly channels: Readonly<Record<string, Float32Array>>
  /** Channels of another type, or with one value for `step` × `step` pixels (the values are those alone). */
  readonly kinds?: Readonly<Record<string, { readonly type?: 'half' | 'uint'; readonly step?: number }>>
  /** x, y, width, height. */
  readonly data: readonly [number, number, number, number]
  readonly display: readonly [number, number, number, number]
  readonly chromaticities?: readonly number[]
  /** Name, type and bytes of further attributes. */
  readonly more?: readonly (readonly [string, string, readonly number[]])[]
}

const i32 = (...v: number[]) => Buffer.from(Int32Array.from(v).buffer)
const f32 = (...v: number[]) => Buffer.from(Float32Array.from(v).buffer)
const samples = {
  float: (v: Float32Array) => f32(...v),
  uint: (v: Float32Array) => Buffer.from(Uint32Array.from(v).buffer),
  half: (v: Float32Array) => Buffer.from(Uint16Array.from(v, halfBits).buffer),
} as const

/** IEEE 754 binary16 of a value that it holds exactly and that is no subnormal. */
function halfBits(v: number): number {
  const magnitude = Math.abs(v)
  if (magnitude === 0) return 0
  const exponent = Math.floor(Math.log2(magnitude))
  return (v < 0 ? 0x8000 : 0) | ((exponent + 15) << 10) | (1024 * (magnitude / 2 ** exponent - 1))
}

const attribute = (name: string, type: string, value: Buffer) =>
  Buffer.concat([Buffer.from(`${name}\0${type}\0`), i32(value.length), value])
const window = ([x, y, w, h]: readonly [number, number, number, number]) => i32(x, y, x + w - 1, y + h - 1)

export function exrFile(o: ExrDraft): Buffer {
  const head = Buffer.concat([i32(0x01312f76, 2), header(o)])
  return Buffer.concat([head, ...body([o], head.length, false)])
}

/** A file of several parts, named by the keys. */
export function exrParts(parts: Readonly<Record<string, ExrDraft>>): Buffer {
  const heads = Object.entries(parts).map(([name, o]) =>
    header(o, [
      attribute('chunkCount', 'int', i32(o.data[3])),
      attribute('name', 'string', Buffer.from(name)),
      attribute('type', 'string', Buffer.from('scanlineimage')),
    ]),
  )
  const head = Buffer.concat([i32(0x01312f76, 2 | 0x1000), ...heads, Buffer.from([0])])
  return Buffer.concat([head, ...body(Object.values(parts), head.length, true)])
}

function header(o: ExrDraft, more: readonly Buffer[] = []): Buffer {
  const list = Object.keys(o.channels).map((n) => {
    const { type, step = 1 } = o.kinds?.[n] ?? {}
    const number = type === 'uint' ? 0 : type === 'half' ? 1 : 2
    return Buffer.concat([Buffer.from(`${n}\0`), i32(number, 0, step, step)])
  })
  return Buffer.concat([
    attribute('channels', 'chlist', Buffer.concat([...list, Buffer.from([0])])),
    ...(o.chromaticities ? [attribute('chromaticities', 'chromaticities', f32(...o.chromaticities))] : []),
    attribute('compression', 'compression', Buffer.from([0])),
    attribute('dataWindow', 'box2i', window(o.data)),
    attribute('displayWindow', 'box2i', window(o.display)),
    attribute('lineOrder', 'lineOrder', Buffer.from([0])),
    ...more,
    ...(o.more ?? []).map(([name, type, bytes]) => attribute(name, type, Buffer.from(bytes))),
    attribute('pixelAspectRatio', 'float', f32(1)),
    attribute('screenWindowCenter', 'v2f', f32(0, 0)),
    attribute('screenWindowWidth', 'float', f32(1)),
    Buffer.from([0]),
  ])
}

/** Tables of all parts, then a block a line. */
function body(parts: readonly ExrDraft[], from: number, numbered: boolean): Buffer[] {
  const tables = parts.map((o) => Buffer.alloc(8 * o.data[3]))
  const rows: Buffer[] = []
  let at = from + tables.reduce((n, t) => n + t.length, 0)
  for (const [i, { channels, data, kinds }] of parts.entries()) {
    const [, top, width, height] = data
    for (let y = 0; y < height; y++) {
      const line = Object.entries(channels).flatMap(([name, v]) => {
        const { type = 'float', step = 1 } = kinds?.[name] ?? {}
        if ((top + y) % step !== 0) return []
        return samples[type](v.subarray((y / step) * (width / step), (y / step + 1) * (width / step)))
      })
      const size = line.reduce((n, b) => n + b.length, 0)
      const lead = i32(...(numbered ? [i] : []), top + y, size)
      tables[i].writeBigUInt64LE(BigInt(at), 8 * y)
      rows.push(lead, ...line)
      at += lead.length + size
    }
  }
  return [...tables, ...rows]
}
