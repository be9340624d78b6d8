/**
 * Which files the library may open: those that hold their own pictures and sound. A playlist names others, wherever they lie, so
 * that a file in an opened folder would show what lies outside of it.
 */
import { AVERROR_EINVAL } from 'node-av/constants'
import { Dictionary, type FormatContext } from 'node-av/lib'
import { quiet, reason } from './library.js'

/** By the library's names: movies, bare streams, and sound, which is told to be none. */
const KINDS = [
  'mov,matroska,mxf,avi,mpegts,mpeg,ogg,asf,flv,nut,gxf,dv,gif,apng,ivf',
  'h264,hevc,av1,obu,vvc,m4v,mjpeg,mpegvideo,dnxhd,yuv4mpegpipe',
  'wav,w64,aiff,flac,mp3,aac,ac3,eac3',
].join(',')

/** @returns below 0 where it cannot be opened: then `unopened` says why */
export async function openInput(format: FormatContext, path: string): Promise<number> {
  quiet()
  const options = Dictionary.fromObject({ format_whitelist: KINDS, protocol_whitelist: 'file' })
  try {
    return await format.openInput(path, null, options)
  } finally {
    options.free()
  }
}

/** What was found instead of a file that `openInput` opens. */
export function unopened(code: number): string {
  return code === AVERROR_EINVAL ? 'a list of other files, or a container that is not read' : reason(code)
}
