/**
 * A camera's path: where its lens is, frame by frame, from where it was on the frame that the element was placed on. Metres in
 * that frame's own directions: right, down, forward along the lens's axis. Turning is no part of it: it moves all depths alike.
 *
 * Moves for planning, of stated size M (nobody has filmed yet; amounts are choices, rhythms common practice):
 *   slide       sideways, evenly, M from end to end
 *   walk        forward, evenly, M; 20 mm up and down with every step (1.8 steps a second), 15 mm from side to side with every second
 *   hand-held   sways: ±M/2 sideways every 4 s, a third of that up and down and to and fro, at other rhythms
 */
export interface Standing {
  readonly frame: number
  readonly right: number
  readonly down: number
  readonly forward: number
}

export type CameraPath = readonly Standing[]

export const moves = ['hand-held', 'slide', 'walk'] as const
export type Move = (typeof moves)[number]

const STEPS = 1.8
const BOB_M = 0.02
const SWAY_M = 0.015

/** @param metres size of the move  @param rate frames a second */
export function plannedPath(move: Move, metres: number, count: number, rate: number): CameraPath {
  const at = MOVES[move]
  return Array.from({ length: count }, (_, frame) => {
    const share = count === 1 ? 0 : frame / (count - 1)
    const wave = (everySeconds: number) => Math.sin((2 * Math.PI * frame) / rate / everySeconds)
    return { frame, ...at(metres, share, wave) }
  })
}

type Going = (m: number, share: number, wave: (everySeconds: number) => number) => Omit<Standing, 'frame'>

const MOVES: Readonly<Record<Move, Going>> = {
  slide: (m, share) => ({ right: share * m, down: 0, forward: 0 }),
  walk: (m, share, wave) => ({
    right: SWAY_M * wave(2 / STEPS),
    down: BOB_M * wave(1 / STEPS),
    forward: share * m,
  }),
  'hand-held': (m, _, wave) => ({
    right: (m / 2) * wave(4),
    down: (m / 6) * wave(2.7),
    forward: (m / 6) * wave(3.3),
  }),
}

/** The same path counted from where the camera is on one of its frames; that one, or the nearest it has. */
export function countedFrom(path: CameraPath, reference: number): CameraPath {
  const from = path.reduce<Standing | undefined>(
    (best, s) =>
      best === undefined || Math.abs(s.frame - reference) < Math.abs(best.frame - reference) ? s : best,
    undefined,
  )
  if (from === undefined) return path
  return path.map(({ frame, right, down, forward }) => ({
    frame,
    right: right - from.right,
    down: down - from.down,
    forward: forward - from.forward,
  }))
}
