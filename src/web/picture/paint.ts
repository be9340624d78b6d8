/** Puts a picture on a canvas, one channel of it as grey where that is asked for. */
import type { Channel } from '../state/view.js'

const AT = { red: 0, green: 1, blue: 2 } as const

export function paint(canvas: HTMLCanvasElement, picture: ImageData, channel: Channel): void {
  if (canvas.width !== picture.width || canvas.height !== picture.height) {
    canvas.width = picture.width
    canvas.height = picture.height
  }
  const shown = channel === 'all' ? picture : alone(picture, AT[channel])
  canvas.getContext('2d')?.putImageData(shown, 0, 0)
}

function alone({ data, width, height }: ImageData, at: number): ImageData {
  const made = new ImageData(width, height)
  for (let i = 0; i < data.length; i += 4) {
    made.data.fill(data[i + at] as number, i, i + 3)
    made.data[i + 3] = 255
  }
  return made
}
