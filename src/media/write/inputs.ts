/** The plate is sacred: no delivery may take the place of a file that it is made from. */
import { realpath } from 'node:fs/promises'
import { basename, dirname } from 'node:path'
import { Problem } from '../../core/index.js'
import { findPictures } from '../read/sequenceName.js'
import type { DeliverySpec } from '../types.js'
import type { MovieCodec, SequenceCodec } from './delivery.js'
import { sequenceName } from './naming.js'

/** @throws Problem `media.output-is-input` when writing `path` would replace a file of `spec.inputs` or its sound's */
export async function refuseInputs(
  path: string,
  spec: DeliverySpec,
  codec: MovieCodec | SequenceCodec,
): Promise<void> {
  const inputs = [...(spec.inputs ?? []), ...(spec.audioFrom === undefined ? [] : [spec.audioFrom.path])]
  const taken = codec.kind === 'movie' ? await fileName(path) : await sequenceNames(path, codec)
  await refuse(path, inputs, taken)
}

/** @throws Problem `media.output-is-input` when the file `path` is one of `inputs`, or a picture of a sequence among them */
export async function refuseReplacing(path: string, inputs: readonly string[]): Promise<void> {
  await refuse(path, inputs, await fileName(path))
}

async function refuse(path: string, inputs: readonly string[], taken: Takes | undefined): Promise<void> {
  if (taken === undefined) return
  for (const input of inputs) {
    // What cannot be found any more cannot be replaced.
    const found = await findPictures(input, { holes: true }).catch(() => undefined)
    for (const file of found?.files ?? [input]) {
      const own = await realpath(file).catch(() => undefined)
      if (own !== undefined && taken(own)) throw replaced(path, file)
    }
  }
}

type Takes = (real: string) => boolean

async function fileName(path: string): Promise<Takes | undefined> {
  const out = await realpath(path).catch(() => undefined)
  return out === undefined ? undefined : (real) => real === out
}

async function sequenceNames(path: string, codec: SequenceCodec): Promise<Takes | undefined> {
  const name = sequenceName(path, codec.extension)
  const folder = await realpath(name.folder).catch(() => undefined)
  return folder === undefined ? undefined : (real) => dirname(real) === folder && name.isOne(basename(real))
}

function replaced(path: string, file: string): Problem {
  return new Problem({
    code: 'media.output-is-input',
    what: 'The output would replace a file that it is made from',
    where: path,
    received: file,
    remedy: 'Choose another name or folder.',
  })
}
