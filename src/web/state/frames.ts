/**
 * Pictures from the server, kept by everything that they depend on. A later ask makes the server drop an earlier one, so they are
 * asked for one after the other: what is on screen first, the newest wish before older ones, then what comes next.
 */
import type { FrameView, PageEdit, ShotState } from '../../server/protocol.js'
import { Away, api } from './api.js'

export interface Wish {
  readonly shot: ShotState
  readonly number: number
  readonly view: FrameView
  readonly width: number
  readonly stops: number
  readonly draft: PageEdit | undefined
}

/** What kept pictures may take. */
const MOST_BYTES = 700 * 2 ** 20

const kept = new Map<string, ImageData>()
let bytes = 0
let wanted: readonly Wish[] = []
let ahead: readonly Wish[] = []
const busy = { now: false, ahead: false }
const heard = new Set<() => void>()

export const frames = {
  get: (wish: Wish): ImageData | undefined => kept.get(keyOf(wish)),

  /** @param now what is on screen, @param next what may come after it, nearest first */
  want(now: readonly Wish[], next: readonly Wish[]): void {
    wanted = now
    ahead = next
    work()
  },

  /** @param tell after a picture came */
  subscribe(tell: () => void): () => void {
    heard.add(tell)
    return () => heard.delete(tell)
  },
}

/** What is on screen does not wait for what is only made ready: the server gives that up. */
function work(): void {
  void run('now')
  void run('ahead')
}

async function run(line: 'now' | 'ahead'): Promise<void> {
  if (busy[line]) return
  busy[line] = true
  for (let wish = nextWish(line); wish !== undefined; wish = nextWish(line)) {
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
  busy[line] = false
  if (line === 'now') void run('ahead')
}

function nextWish(line: 'now' | 'ahead'): Wish | undefined {
  const missing = (w: Wish) => w.width > 0 && !kept.has(keyOf(w))
  const now = wanted.find(missing)
  if (line === 'now') return now
  return now === undefined ? ahead.find(missing) : undefined
}

function drop(wish: Wish): void {
  wanted = wanted.filter((w) => w !== wish)
  ahead = ahead.filter((w) => w !== wish)
}

function keep(key: string, picture: ImageData): void {
  // It may have been asked for twice, as what comes next and as what is on screen.
  bytes += picture.data.byteLength - (kept.get(key)?.data.byteLength ?? 0)
  kept.set(key, picture)
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
  return [of, shot.files, view, number, width, stops, hand].join('|')
}
