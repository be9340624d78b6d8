/**
 * CIEDE2000 of two CIELAB colours, after the step-by-step form of Sharma, Wu and Dalal; kL = kC = kH = 1.
 *
 * Source: [sharma2005] equations 2 to 22.
 */
const P25_7 = 25 ** 7
const TURN = 2 * Math.PI
const DEGREE = Math.PI / 180

function power7(c: number): number {
  const c2 = c * c
  return c2 * c2 * c2 * c
}

function chroma(a: number, b: number): number {
  return Math.sqrt(a * a + b * b)
}

function hue(a: number, b: number): number {
  if (a === 0 && b === 0) return 0
  const h = Math.atan2(b, a)
  return h < 0 ? h + TURN : h
}

/** `p` and `q` hold L*, a*, b*. */
export function ciede2000(p: ArrayLike<number>, q: ArrayLike<number>): number {
  const l1 = p[0] as number
  const b1 = p[2] as number
  const l2 = q[0] as number
  const b2 = q[2] as number
  const c7 = power7((chroma(p[1] as number, b1) + chroma(q[1] as number, b2)) / 2)
  const stretch = 1.5 - 0.5 * Math.sqrt(c7 / (c7 + P25_7))
  const a1 = (p[1] as number) * stretch
  const a2 = (q[1] as number) * stretch
  const c1 = chroma(a1, b1)
  const c2 = chroma(a2, b2)
  const h1 = hue(a1, b1)
  const h2 = hue(a2, b2)
  let dh = 0
  let h = h1 + h2
  if (c1 * c2 !== 0) {
    dh = h2 - h1
    if (dh > Math.PI) dh -= TURN
    else if (dh < -Math.PI) dh += TURN
    if (Math.abs(h1 - h2) <= Math.PI) h /= 2
    else h = h < TURN ? (h + TURN) / 2 : (h - TURN) / 2
  }
  const l50 = ((l1 + l2) / 2 - 50) ** 2
  const c = (c1 + c2) / 2
  const t =
    1 -
    0.17 * Math.cos(h - 30 * DEGREE) +
    0.24 * Math.cos(2 * h) +
    0.32 * Math.cos(3 * h + 6 * DEGREE) -
    0.2 * Math.cos(4 * h - 63 * DEGREE)
  const turn = (h / DEGREE - 275) / 25
  const cb7 = power7(c)
  const rotation = -Math.sin(60 * DEGREE * Math.exp(-turn * turn)) * 2 * Math.sqrt(cb7 / (cb7 + P25_7))
  const dl = (l2 - l1) / (1 + (0.015 * l50) / Math.sqrt(20 + l50))
  const dc = (c2 - c1) / (1 + 0.045 * c)
  const dH = (2 * Math.sqrt(c1 * c2) * Math.sin(dh / 2)) / (1 + 0.015 * c * t)
  return Math.sqrt(dl * dl + dc * dc + dH * dH + rotation * dc * dH)
}
