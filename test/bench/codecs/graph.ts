/** The nearest equal job as a filter graph (`graph.txt`), run in process: decoders, filters and encoder side by side. */
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { type FilterContext, FilterGraph, Frame } from 'node-av/lib'
import type { Region } from '../../../src/core/index.js'
import { must } from '../../../src/media/write/failure.js'
import { ahead, framesOf } from './decode.js'
import { Encoder } from './encode.js'
import { RATE } from './output.js'

const TEXT = join('test', 'bench', 'codecs', 'graph.txt')

/** @param part where the element lies in the plate; @param out a movie, ProRes 422 HQ */
export async function renderGraph(plate: string, element: string, part: Region, out: string): Promise<void> {
  const text = await graphText(part)
  const elements = ahead(framesOf(element))
  let graph: Graph | undefined
  let encoder: Encoder | undefined
  let coded: Promise<void> | undefined
  for await (const frame of ahead(framesOf(plate))) {
    const other = await elements.next()
    if (other.done === true) throw new Error('the element is shorter than the plate')
    graph ??= await Graph.open(text, [frame, other.value])
    encoder ??= await Encoder.open(out, frame.width, frame.height)
    const made = await graph.run([frame, other.value])
    // One frame is encoded while the next one is filtered.
    await coded
    coded = encoder.write(made)
  }
  await coded
  await encoder?.finish()
  graph?.close()
}

/** The graph with its numbers put in, without its remarks. */
async function graphText(part: Region): Promise<string> {
  const lines = (await readFile(TEXT, 'utf8')).split('\n').filter((line) => !line.startsWith('#'))
  return lines
    .map((line) => line.trim())
    .join('')
    .replace(/\{(x|y|width|height)\}/g, (_, name: keyof Region) => String(part[name]))
}

class Graph {
  readonly #graph: FilterGraph
  readonly #sources: readonly FilterContext[]
  readonly #sink: FilterContext
  #taken = 0

  private constructor(graph: FilterGraph) {
    const named = (name: string) => (graph.filters ?? []).filter((f) => f.filter?.name === name)
    this.#graph = graph
    this.#sources = named('buffer')
    this.#sink = named('buffersink')[0] as FilterContext
  }

  static async open(text: string, likeThese: readonly Frame[]): Promise<Graph> {
    const graph = new FilterGraph()
    graph.alloc()
    graph.nbThreads = 0
    const inputs = likeThese.map((frame, i) => `${source(frame)}[${i}:v];`).join('')
    must(graph.parsePtr(`${inputs}${text};[out]buffersink`), 'Reading the filter graph')
    must(await graph.config(), 'Opening the filter graph')
    return new Graph(graph)
  }

  /** Takes one frame of each input and frees them; gives the finished frame. */
  async run(inputs: readonly Frame[]): Promise<Frame> {
    for (const [i, frame] of inputs.entries()) {
      frame.pts = BigInt(this.#taken)
      must(await (this.#sources[i] as FilterContext).buffersrcAddFrame(frame), 'Filtering')
      frame.free()
    }
    this.#taken++
    const made = new Frame()
    made.alloc()
    must(await this.#sink.buffersinkGetFrame(made), 'Filtering')
    return made
  }

  close(): void {
    this.#graph.free()
  }
}

function source({ width, height, format }: Frame): string {
  const time = `time_base=1/${RATE}:frame_rate=${RATE}`
  return `buffer=video_size=${width}x${height}:pix_fmt=${format}:${time}:colorspace=bt709:range=tv`
}
