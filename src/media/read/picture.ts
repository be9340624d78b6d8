/** One picture file → one frame, whatever its kind; the kind is told by its first bytes, never by its name. */

import {
  FF_DECODER_DPX,
  FF_DECODER_EXR,
  FF_DECODER_MJPEG,
  FF_DECODER_PNG,
  FF_DECODER_TIFF,
} from 'node-av/constants'
import { Codec, CodecContext, Frame, Packet } from 'node-av/lib'
import { type NativeFrame, Problem } from '../../core/index.js'
import { fromAvFrame } from '../avframe.js'
import { isDamaged } from './decoder.js'
import { refusal } from './exr/guard.js'
import { type ExrHeader, type ExrPart, readExrHeader } from './exr/header.js'
import { chooseLayer, type ExrLayer } from './exr/layers.js'
import { readLayer } from './exr/picture.js'
import { placeInDisplay } from './exr/window.js'
import { quiet, reason } from './library.js'
import { type Look, lookAt } from './look.js'
import { requireRoom } from './room.js'

export type PictureKind = 'png' | 'tiff' | 'exr' | 'dpx' | 'jpeg'

const decoders = {
  png: FF_DECODER_PNG,
  tiff: FF_DECODER_TIFF,
  exr: FF_DECODER_EXR,
  dpx: FF_DECODER_DPX,
  jpeg: FF_DECODER_MJPEG,
} as const

const signatures: readonly (readonly [PictureKind, string])[] = [
  ['png', '89504e470d0a1a0a'],
  ['tiff', '49492a00'],
  ['tiff', '4d4d002a'],
  ['exr', '762f3101'],
  ['dpx', '53445058'],
  ['dpx', '58504453'],
  ['jpeg', 'ffd8ff'],
]

/** TIFF with offsets of 64 bits: another format, which the decoder does not know. */
const BIG_TIFF = ['49492b00', '4d4d002b']

/** @throws Problem `media.file-unreadable`, `media.big-tiff` */
export function kindOf(bytes: Uint8Array, where: string): PictureKind {
  const head = Buffer.from(bytes.subarray(0, 8)).toString('hex')
  const found = signatures.find(([, start]) => head.startsWith(start))
  if (found !== undefined) return found[0]
  if (bytes.length === 0) throw empty(where)
  if (BIG_TIFF.includes(head.slice(0, 8))) throw bigTiff(where)
  throw new Problem({
    code: 'media.file-unreadable',
    what: 'The file is no picture that can be read, whatever its name says',
    where,
    expected: 'PNG, TIFF, OpenEXR, DPX or JPEG',
    remedy: 'Render or copy this file again.',
  })
}

function bigTiff(where: string): Problem {
  return new Problem({
    code: 'media.big-tiff',
    what: 'BigTIFF is not read',
    where,
    expected: 'TIFF, PNG, OpenEXR, DPX or JPEG',
    remedy: 'Export it as plain TIFF, PNG or OpenEXR.',
  })
}

export function empty(where: string): Problem {
  return new Problem({
    code: 'media.file-unreadable',
    what: 'The file is empty',
    where,
    remedy: 'Render or copy this file again.',
  })
}

export interface Picture {
  readonly kind: PictureKind
  readonly look: Look
  readonly frame: NativeFrame
  readonly exr?: ExrPicture
}

export interface ExrPicture {
  readonly header: ExrHeader
  readonly layer: ExrLayer
  /** The part that the layer lies in. */
  readonly part: ExrPart
}

/** @throws Problem `media.file-unreadable`, `media.big-tiff`, `media.picture-too-large`, `media.damaged-frame`, `media.exr-…`, `media.unsupported-layout` */
export async function readPicture(bytes: Buffer, where: string, layer?: string): Promise<Picture> {
  quiet()
  const kind = kindOf(bytes, where)
  if (kind === 'exr') return readExr(bytes, where, layer)
  if (layer !== undefined) throw noLayers(where, layer)
  requireRoom(bytes, kind, undefined, where)
  return { kind, ...(await decode(bytes, kind, where)) }
}

/** Somebody named a layer of something else than OpenEXR. */
export function noLayers(where: string, layer: string): Problem {
  return new Problem({
    code: 'media.no-layers',
    what: 'Only OpenEXR files have layers',
    where,
    received: `layer ${layer}`,
    remedy: 'Leave the layer out.',
  })
}

async function readExr(bytes: Buffer, where: string, wanted: string | undefined): Promise<Picture> {
  const header = readExrHeader(bytes, where)
  const layer = chooseLayer(header, wanted, where)
  const part = header.parts[layer.part] as ExrPart
  requireRoom(bytes, 'exr', part, where)
  const refused = refusal(header, layer, where)
  if (refused !== undefined) throw refused
  const decoded = await readLayer(bytes, header, layer, where, (file) => decode(file, 'exr', where))
  const frame = placeInDisplay(decoded.frame, part)
  const look = { ...decoded.look, width: frame.width, height: frame.height }
  return { kind: 'exr', exr: { header, layer, part }, frame, look }
}

async function decode(
  bytes: Buffer,
  kind: PictureKind,
  where: string,
): Promise<{ look: Look; frame: NativeFrame }> {
  const codec = Codec.findDecoderByName(decoders[kind])
  if (codec === null) throw damaged(where, `no decoder for ${kind}`)
  const context = new CodecContext()
  const packet = new Packet()
  const frame = new Frame()
  try {
    context.allocContext3(codec)
    context.threadCount = 0
    // Stop at the first fault instead of guessing the rest of the picture; of TIFF this asks too much (harmless tags).
    if (kind !== 'tiff') context.setOption('err_detect', 'crccheck+bitstream+buffer+explode')
    const opened = await context.open2(codec)
    if (opened < 0) throw damaged(where, reason(opened))
    packet.alloc()
    packet.data = bytes
    frame.alloc()
    let code = await context.sendPacket(packet)
    if (code >= 0) code = await context.sendPacket(null)
    if (code >= 0) code = await context.receiveFrame(frame)
    if (code < 0) throw damaged(where, reason(code))
    if (isDamaged(frame)) throw damaged(where, 'the decoder reports errors in the picture')
    return { look: lookAt(frame, where), frame: fromAvFrame(frame, where) }
  } finally {
    frame.free()
    packet.free()
    context.freeContext()
  }
}

function damaged(where: string, received: string): Problem {
  return new Problem({
    code: 'media.damaged-frame',
    what: 'The picture cannot be decoded: it is damaged, cut short or of an unknown variant',
    where,
    received,
    remedy: 'Render or copy this file again.',
  })
}
