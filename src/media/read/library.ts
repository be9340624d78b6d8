/** The codec library, told to be silent: what goes wrong reaches the caller as a Problem, not as lines on a terminal. */
import { AV_LOG_QUIET, AVERROR_EOF } from 'node-av/constants'
import { FFmpegError, getFFmpegInfo, Log } from 'node-av/lib'

let silent = false

/** Call before the first use of the library. */
export function quiet(): void {
  if (silent) return
  Log.setLevel(AV_LOG_QUIET)
  silent = true
}

/** Which codecs these are: other versions may give other bytes. */
export function codecVersions(): string {
  const { version, configuration, libraries } = getFFmpegInfo()
  return JSON.stringify([version, configuration, libraries])
}

/** The library's words for an error code. */
export function reason(code: number): string {
  return FFmpegError.strerror(code)
}

/** The decoder wants input before it gives more. */
export function isHungry(code: number): boolean {
  return FFmpegError.fromCode(code)?.isEAGAIN ?? false
}

/** The decoder wants input, or has given all it has. */
export function isDry(code: number): boolean {
  return isHungry(code) || code === AVERROR_EOF
}
