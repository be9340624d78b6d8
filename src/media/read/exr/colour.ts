/** The colour space that an OpenEXR part says it is in. Source: [openexr-attributes]. */
import { chromaticities } from '../../../colour/index.js'
import type { Chromaticities, Primaries, PrimariesName } from '../../../core/index.js'
import type { ExrPart } from './header.js'

/** A name where one is known; `undefined` where the file says nothing, or what spans no colour space. */
export function exrPrimaries({ chromaticities: c }: ExrPart): Primaries | undefined {
  return c && (primariesNear(c) ?? (spansColour(c) ? c : undefined))
}

const XYZ = [1, 0, 0, 1, 0, 0, 1 / 3, 1 / 3]

/** Three primaries that are not in a line, and a white that has luminance: else no matrix follows from them. */
function spansColour({ red, green, blue, white }: Chromaticities): boolean {
  const area = (green[0] - red[0]) * (blue[1] - red[1]) - (blue[0] - red[0]) * (green[1] - red[1])
  const onAxis = [red, green, blue].some(([, y]) => Math.abs(y) < 1e-6)
  const whole = [...red, ...green, ...blue, ...white].every(Number.isFinite)
  return whole && !onAxis && Math.abs(area) > 1e-3 && white[1] > 1e-3
}

/** Within 1e-3 in every coordinate. */
function primariesNear(c: Chromaticities): PrimariesName | undefined {
  const own = [...c.red, ...c.green, ...c.blue, ...c.white]
  const near = (flat: readonly number[]) => flat.every((v, i) => Math.abs(v - (own[i] as number)) < 1e-3)
  for (const [name, { red, green, blue, white }] of Object.entries(chromaticities)) {
    if (near([...red, ...green, ...blue, ...white])) return name as PrimariesName
  }
  return near(XYZ) ? 'xyz' : undefined
}
