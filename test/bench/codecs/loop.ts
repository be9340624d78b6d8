/** Long clips without painting or encoding them: the packets of a short one, again and again. */
import { Packet } from 'node-av/lib'
import { openContainer } from '../../../src/media/read/container.js'
import { packetsOf } from '../../../src/media/read/decoder.js'
import { must } from '../../../src/media/write/failure.js'
import { Output } from './output.js'

/** Copies the movie `from`, whose every frame stands alone, over and over until `to` has `frames` frames. */
export async function loopClip(from: string, to: string, frames: number): Promise<void> {
  const { format, stream } = await openContainer(from)
  const packets: Packet[] = []
  for await (const packet of packetsOf((p) => format.readFrame(p), stream.index)) packets.push(again(packet))
  const output = await Output.open(to, (picture) => stream.codecpar.copy(picture.codecpar))
  for (let i = 0; i < frames; i++) {
    const packet = again(packets[i % packets.length] as Packet)
    await output.write(packet)
    packet.free()
  }
  await output.finish()
  for (const packet of packets) packet.free()
  await format.closeInput()
}

/** Another reference to the same bytes. */
function again(packet: Packet): Packet {
  const copy = new Packet()
  copy.alloc()
  must(copy.ref(packet), 'Copying a packet')
  return copy
}
