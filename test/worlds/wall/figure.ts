/** The figure: nearest shapes first. */
import { between, chance, fbm, noise, step } from '../chance.js'
import { bodyAt, swingAt, type WallSetting, windAt } from './setting.js'
import {
  type Bone,
  egg,
  type Hit,
  limb,
  type Over,
  type Paint,
  type Shape,
  thread,
  turned,
} from './shapes.js'

type Place = readonly [number, number]

const HEAD: Place = [430, 190]
const SKIN = [0.5, 0.31, 0.22] as const
const SKULL = [62, 80, 2] as const

/** @param times of the instants @returns shapes from the nearest to the farthest */
export function figureOf(s: WallSetting, times: Over<number>): Shape[] {
  const from = ([x, y]: Place): Over<Place> =>
    times.map((time) => {
      const [mx, my] = bodyAt(s, time)
      return [x + mx, y + my]
    })
  const still = ([ax, ay]: Place, [bx, by]: Place, ra: number, rb: number): Over<Bone> =>
    from([0, 0]).map(([mx, my]) => ({ ax: ax + mx, ay: ay + my, bx: bx + mx, by: by + my, ra, rb }))
  const looks = looksOf(s)
  return [
    ...hand(s, times),
    limb(
      2.6,
      times.map((t) => foreArm(s, t)),
      looks.sleeve,
    ),
    ...hair(s, times, looks, 'front'),
    ...scarf(s, times),
    egg(1.5, from(HEAD), SKULL, looks.face),
    egg(1.6, from([HEAD[0], HEAD[1] - 12]), [70, 84, 2.2], looks.hair),
    limb(1.5, still([430, 240], [432, 320], 32, 40), looks.skin),
    limb(1.8, still([555, 352], [668, 402], 44, 32), looks.sleeve),
    egg(1.6, from([430, 560]), [172, 262, 3], looks.cloth),
    ...hair(s, times, looks, 'back'),
  ]
}

/** From the elbow up. */
export function foreArm(s: WallSetting, time: number): Bone {
  const [mx, my] = bodyAt(s, time)
  const angle = swingAt(s, time)
  const [ax, ay] = [672 + mx, 402 + my]
  return { ax, ay, bx: ax + 112 * Math.sin(angle), by: ay - 112 * Math.cos(angle), ra: 30, rb: 23 }
}

function hand(s: WallSetting, times: Over<number>): Shape[] {
  /** A bone from and to places along the forearm and aside of it. */
  const part = ([a, aside]: Place, [b, beside]: Place, ra: number, rb: number): Shape => {
    const bones = times.map((time) => {
      const { ax, ay } = foreArm(s, time)
      const angle = swingAt(s, time)
      const [c, n] = [Math.cos(angle), Math.sin(angle)]
      return {
        ...{ ax: ax + a * n + aside * c, ay: ay - a * c + aside * n, ra },
        ...{ bx: ax + b * n + beside * c, by: ay - b * c + beside * n, rb },
      }
    })
    return limb(2.6, bones, skin(SKIN))
  }
  const finger = (aside: number, length: number, spread: number) =>
    part([132, aside], [132 + length, aside + spread], 5.6, 4.6)
  return [
    ...[finger(-14, 34, -9), finger(-5, 43, -3), finger(5, 42, 3), finger(14, 33, 9)],
    part([118, 12], [136, 34], 7, 5),
    part([108, 0], [128, 0], 17, 21),
  ]
}

function skin([r, g, b]: readonly [number, number, number]): Paint {
  return (x, y, out) => {
    const k = 1 + 0.08 * fbm(x / 9, y / 9, 3, 2)
    out.r = k * r
    out.g = k * g
    out.b = k * b
  }
}

function looksOf(s: WallSetting) {
  const hairColour = s.dark ? ([0.014, 0.011, 0.01] as const) : ([0.3, 0.19, 0.1] as const)
  const [warp, weft] = s.dark
    ? [[0.02, 0.02, 0.026] as const, [0.05, 0.045, 0.05] as const]
    : [[0.5, 0.47, 0.43] as const, [0.13, 0.17, 0.36] as const]
  const hairPaint: Paint = (x, y, out) => {
    const k = 0.75 + 0.9 * Math.abs(noise(x / 3.1, y / 40, 7)) + 0.25 * noise(x / 0.9, y / 25, 2)
    out.r = k * hairColour[0]
    out.g = k * hairColour[1]
    out.b = k * hairColour[2]
  }
  const woven = (turn: number): Paint => {
    return (x, y, out) => {
      const stripe = step(0.55, 0.65, Math.sin((turn === 0 ? y : x) / 8))
      const k = 1 + 0.25 * fbm(x / 14, y / 14, 5, 3)
      out.r = k * (warp[0] + stripe * (weft[0] - warp[0]))
      out.g = k * (warp[1] + stripe * (weft[1] - warp[1]))
      out.b = k * (warp[2] + stripe * (weft[2] - warp[2]))
    }
  }
  const bare = skin(SKIN)
  const face: Paint = (x, y, out) => {
    bare(x, y, out)
    const spot = (ox: number, oy: number, a: number, b: number) => ((x - ox) / a) ** 2 + ((y - oy) / b) ** 2
    const eye = Math.min(spot(-23, -6, 9, 5), spot(23, -6, 9, 5))
    const iris = Math.min(spot(-22, -6, 4, 4), spot(24, -6, 4, 4))
    const mouth = spot(0, 42, 20, 5)
    if (iris < 1) set(out, 0.03, 0.025, 0.02)
    else if (eye < 1) set(out, 0.6, 0.6, 0.6)
    else if (mouth < 1) set(out, 0.36, 0.12, 0.1)
    // The hair's edge over the forehead.
    if (y < -44 + 10 * Math.sin(x / 17) + 8 * noise(x / 3, 1, 1)) hairPaint(x, y, out)
  }
  return { hair: hairPaint, face, skin: bare, sleeve: woven(1), cloth: woven(0) }
}

function set(out: Hit, r: number, g: number, b: number): void {
  out.r = r
  out.g = g
  out.b = b
}

/** Loose hairs: a tuft in front by the cheek, many behind and above, 0.3 to 3 units wide, each a curve of pieces. */
function hair(
  s: WallSetting,
  times: Over<number>,
  looks: ReturnType<typeof looksOf>,
  where: 'front' | 'back',
): Shape[] {
  const [count, salt] = where === 'front' ? [26, 500] : [130, 600]
  const moved = times.map((time) => bodyAt(s, time))
  const shapes: Shape[] = []
  for (let k = 0; k < count; k++) {
    const u = (lo: number, hi: number, n: number) => between(lo, hi, s.seed, k, salt, n)
    const angle = where === 'front' ? u(2.6, 3.4, 1) : u(-3.3, 0.2, 1)
    const [x, y] = [HEAD[0] + 62 * Math.cos(angle), HEAD[1] - 12 + 76 * Math.sin(angle)]
    const length = u(24, 95, 2)
    const heading = angle + u(-0.7, 0.7, 3)
    const curl = u(-2.2, 2.2, 4)
    const fall = u(0.1, 1.1, 5)
    // Most are thinner than a pixel of the full-size picture.
    const width = 0.15 + 1.35 * chance(s.seed, k, salt, 6) ** 3
    const phase = u(0, 6.3, 7)
    const tone = u(0.6, 1.5, 8)
    const paint: Paint = (along, across, out) => {
      looks.hair(3 * k, 10 * along + across, out)
      out.r *= tone
      out.g *= tone
      out.b *= tone
    }
    const winds = times.map((time) => windAt(s, time, phase))
    const pieces = 7
    let [px, py] = [x, y]
    for (let i = 0; i < pieces; i++) {
      const t = (i + 0.5) / pieces
      const way = heading + curl * t
      const [qx, qy] = [
        px + (length / pieces) * Math.cos(way),
        py + (length / pieces) * (Math.sin(way) + fall * t),
      ]
      const at = (n: number) => (n / pieces) ** 1.5
      const thick = (n: number) => width * (1 - 0.75 * (n / pieces) ** 2)
      const piece = {
        ...{ ax: px, ay: py, bx: qx, by: qy },
        ...{ ra: thick(i), rb: thick(i + 1), swayA: at(i), swayB: at(i + 1) },
      }
      shapes.push(thread(1.7, piece, moved, winds, paint))
      px = qx
      py = qy
    }
  }
  return shapes
}

/** A soft scarf about the neck; one end is blown out to the left, thin towards its borders, with a fringe of threads. */
function scarf(s: WallSetting, times: Over<number>): Shape[] {
  const moved = times.map((time) => bodyAt(s, time))
  const wool = s.dark ? ([0.3, 0.06, 0.07] as const) : ([0.42, 0.3, 0.08] as const)
  const flaps = (later: number) => times.map((time) => windAt(s, time + later, 1.1))
  const flap = flaps(0)
  const [start, end] = [425, 205]
  /** The middle line of the blown end, and how far the wind has it there. */
  const line = (x: number) => {
    const t = (start - x) / (start - end)
    return { t, y: 300 + 34 * t + 12 * Math.sin(4 * t), sway: t * t }
  }
  const shapes: Shape[] = []
  for (let k = 0; k < 46; k++) {
    const u = (lo: number, hi: number, n: number) => between(lo, hi, s.seed, k, 700, n)
    const y = line(end).y + u(-30, 30, 1)
    const length = u(22, 46, 2)
    const width = 0.25 + 1.1 * chance(s.seed, k, 700, 3) ** 2
    const phase = u(-0.6, 0.6, 4)
    const lean = u(-0.25, 0.45, 5)
    const tone = u(0.7, 1.3, 6)
    const winds = flaps(phase)
    let [px, py] = [end + 6, y]
    for (let i = 0; i < 4; i++) {
      const [qx, qy] = [px - length / 4, py + (length / 4) * (lean + 0.12 * i + u(-0.3, 0.3, 10 + i))]
      const piece = {
        ...{ ax: px, ay: py, bx: qx, by: qy, ra: width, rb: width * 0.9 },
        ...{ swayA: 1 + 0.15 * i, swayB: 1.15 + 0.15 * i },
      }
      shapes.push(
        thread(2, piece, moved, winds, (_a, _b, out) =>
          set(out, tone * wool[0], tone * wool[1], tone * wool[2]),
        ),
      )
      px = qx
      py = qy
    }
  }
  shapes.push({
    blur: 2,
    box: (k) => {
      const [mx, my] = moved[k]
      const w = flap[k]
      return {
        x0: end + mx + Math.min(w, 0) - 2,
        x1: start + mx + Math.max(w, 0) + 2,
        y0: 250 + my,
        y1: 385 + my,
      }
    },
    at: (x0, y0, k, out) => {
      const [mx, my] = moved[k]
      const w = flap[k]
      // The wind moves the end most: solve for where this place is without it, in two steps.
      let x = x0 - mx
      for (let i = 0; i < 3; i++) x = x0 - mx - w * line(x).sway
      if (x < end || x > start) return false
      const { t, y } = line(x)
      const v = (y0 - my - y) / (26 + 8 * t)
      if (Math.abs(v) > 1) return false
      const weave = 0.5 + 0.5 * Math.sin(x * 1.9) * Math.sin((y0 - my) * 1.7)
      const rim = 1 - step(0.45, 1, Math.abs(v)) * (0.55 + 0.5 * fbm(x / 5, y0 / 5, 9, 2))
      out.cover = Math.min(Math.max(rim * (0.72 + 0.28 * weave + 0.3 * (1 - t)), 0), 1)
      if (out.cover <= 0) return false
      out.thin = 0.35
      turned(out, 0.2 * Math.sin(x / 11), 0.5 * v)
      const tone = 0.8 + 0.4 * weave
      set(out, tone * wool[0], tone * wool[1], tone * wool[2])
      return true
    },
  })
  shapes.push(
    egg(
      1.6,
      moved.map(([mx, my]) => [430 + mx, 306 + my] as const),
      [66, 30, 2.2],
      (x, y, out) => {
        const k = 0.9 + 0.35 * Math.sin(y / 4 + 0.02 * x) + 0.2 * fbm(x / 6, y / 6, 4, 2)
        set(out, k * wool[0], k * wool[1], k * wool[2])
      },
    ),
  )
  return shapes
}
