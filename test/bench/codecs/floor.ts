/**
 * The codec floor: what a render cannot be faster than. All inputs are decoded and the plate's frames go to the encoder as the
 * decoder left them: no copy, no look at a sample, decoders and encoder side by side with threads as they like.
 */
import { ahead, framesOf } from './decode.js'
import { Encoder } from './encode.js'

/** @param out a movie, ProRes 422 HQ */
export async function renderFloor(plate: string, element: string, out: string): Promise<void> {
  await Promise.all([throughCodec(plate, out), decodeOnly(element)])
}

async function throughCodec(plate: string, out: string): Promise<void> {
  let encoder: Encoder | undefined
  for await (const frame of ahead(framesOf(plate))) {
    encoder ??= await Encoder.open(out, frame.width, frame.height)
    await encoder.write(frame)
  }
  await encoder?.finish()
}

async function decodeOnly(element: string): Promise<void> {
  for await (const frame of framesOf(element)) frame.free()
}
