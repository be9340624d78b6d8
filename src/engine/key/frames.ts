import { Problem } from '../../core/index.js'
import type { SourceInfo } from '../../media/index.js'
import type { KeyOptions } from './types.js'

/** @throws Problem `key.no-such-frames` */
export function framesOf({ frameCount }: SourceInfo, asked: KeyOptions['frames'], option = '--frames') {
  const { first, count } = asked ?? { first: 0, count: frameCount }
  if (first + count <= frameCount) return { first, count }
  throw new Problem({
    code: 'key.no-such-frames',
    what: 'The file does not have all the frames that are asked for',
    where: option,
    expected: `within 0 to ${frameCount - 1}`,
    received: `${first} to ${first + count - 1}`,
  })
}
