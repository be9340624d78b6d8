/**
 * Pictures from the server, kept by everything that they depend on. One is asked for at a time, since a later ask makes the
 * server drop an earlier one: what is on screen first, the newest wish before older ones, then what comes next.
 */
import type { FrameView, ShotState } from '../../server/protocol.js'
import type { Edit } from '../../shot/command.js'
import { Away, api } from './api.js'

export interface Wish {
  readonly shot: ShotState
  readonly number: number
  readonly view: FrameView
  readonly width: number
  readonly stops: number
  readonly draft: Edit | undefined
}

/** What kept pictures may take. */
const MOST_BYTES = 700 * 2 ** 20

const kept = new Map<string, ImageData>()
let bytes = 0
let wanted: readonly Wish[] = []
let ahead: readonly Wish[] = []
let busy = false
const heard = new Set<() => void>()

export const frames = {
  get: (wish: Wish): ImageData | undefined => kept.get(keyOf(wish)),

  /** @param now what is on screen, @param next what may come after it, nearest first */
  want(now: readonly Wish[], next: readonly Wish[]): void {
    wanted = now
    ahead = next
    void work()
  },

  /** @param tell after a picture came */
  subscribe(tell: () => void): () => void {
    heard.add(tell)
    return () => heard.delete(tell)
  },
}

async function work(): Promise<void> {
  if (busy) return
  busy = true
  for (let wish = nextWish(); wish !== undefined; wish = nextWish()) {
    try {
      const { shot, draft, ...ask } = wish
      const picture = await api.frame({ ...ask, path: shot.path, ...(draft && { edit: draft }) })
      if (picture !== undefined) keep(keyOf(wish), opaque(picture))
    } catch (e) {
      // What it cannot show is said where the file or the edit stands; the wish is not asked again until something changes.
      drop(wish)
      if (e instanceof Away) break
    }
    for (const tell of heard) tell()
  }
  busy = false
}

function nextWish(): Wish | undefined {
  return [...wanted, ...ahead].find((w) => w.width > 0 && !kept.has(keyOf(w)))
}

function drop(wish: Wish): void {
  wanted = wanted.filter((w) => w !== wish)
  ahead = ahead.filter((w) => w !== wish)
}

function keep(key: string, picture: ImageData): void {
  kept.set(key, picture)
  bytes += picture.data.byteLength
  for (const [oldest, { data }] of kept) {
    if (bytes <= MOST_BYTES) break
    kept.delete(oldest)
    bytes -= data.byteLength
  }
}

function opaque({ rgb, width, height }: { rgb: Uint8Array; width: number; height: number }): ImageData {
  const made = new ImageData(width, height)
  const { data } = made
  data.fill(255)
  for (let from = 0, to = 0; from < rgb.length; from += 3, to += 4) {
    data[to] = rgb[from] as number
    data[to + 1] = rgb[from + 1] as number
    data[to + 2] = rgb[from + 2] as number
  }
  return made
}

/** The plate is the same whatever stands in it. */
function keyOf({ shot, number, view, width, stops, draft }: Wish): string {
  const of = view === 'plate' ? JSON.stringify([shot.path, shot.shot.plate]) : shot.revision
  const hand = view === 'plate' || draft === undefined ? '' : JSON.stringify(draft)
  return [of, view, number, width, stops, hand].join('|')
}
