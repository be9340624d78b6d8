import type { Vignette } from '../chain/lens/vignette/model.js'
import type { ProblemDetail } from '../core/index.js'
import { followsDepth } from './matte.js'
import { WIDEST_PX } from './plateBlurSchema.js'
import type { Shot } from './schema.js'
import { unknownName } from './unknown.js'

/** Faults in the shape and the course of a blur. */
export function lensFaults(shot: Shot): ProblemDetail[] {
  return [...blades(shot), ...vignette(shot), ...gradients(shot), ...depthBlurs(shot), ...plateBlur(shot)]
}

function gradients({ elements }: Shot): ProblemDetail[] {
  return elements.flatMap((e, i) => {
    const t = e.treatments['lens.blurGradient']
    if (t === undefined || !('value' in t)) return []
    const where = `elements[${i}].treatments["lens.blurGradient"]`
    const wide = [t.value[2] as number, t.value[5] as number]
      .filter((r) => Math.abs(r) > WIDEST_PX)
      .map((r) => ({
        code: 'shot.blur-gradient',
        what: 'A blur that runs over an element has too wide a radius',
        where,
        expected: `from −${WIDEST_PX} to ${WIDEST_PX} px`,
        received: `${r} px`,
      }))
    return [...wide, ...oneEnd(t.value, where)]
  })
}

/** Between two radii at one place nothing runs. */
function oneEnd([x0, y0, r0, x1, y1, r1]: readonly number[], where: string): ProblemDetail[] {
  if (x0 !== x1 || y0 !== y1 || r0 === r1) return []
  return [
    {
      code: 'shot.gradient-ends',
      what: 'A blur runs from one place to another, and these two are the same',
      where,
      expected: 'two places',
      received: `${r0} px and ${r1} px at ${x0}, ${y0}`,
      remedy: 'Move one of them apart, or give both the same radius.',
    },
  ]
}

/** A measured one keeps to what a lens does at the radii that were seen; a hand can set anything. */
function vignette({ plate }: Shot): ProblemDetail[] {
  const t = plate.treatments['lens.vignette']
  if (t === undefined || !('value' in t) || t.evidence.kind !== 'set') return []
  const [k1, k2, k3] = t.value as unknown as Vignette
  const radii = Array.from({ length: 101 }, (_, i) => i / 100)
  const left = (r: number) => 1 + r * r * (k1 + r * r * (k2 + r * r * k3))
  const dark = radii.find((r) => left(r) < 0)
  if (dark === undefined) return []
  const least = radii.reduce((m, r) => (left(r) < left(m) ? r : m), dark)
  return [
    {
      code: 'shot.vignette',
      what: 'No lens takes away more light than there is',
      where: 'plate.treatments["lens.vignette"]',
      expected: 'a share 1 + k1·r² + k2·r⁴ + k3·r⁶ of 0 to 1 from the middle (r = 0) to the corner (r = 1)',
      received: `${Number(left(least).toPrecision(3))} at r = ${least}`,
      remedy: 'Terms below 0 that add up to less than −1 leave nothing in the corner.',
    },
  ]
}

/** An aperture is round, or has three blades or more. */
function blades({ plate }: Shot): ProblemDetail[] {
  const t = plate.treatments['lens.blades']
  const blades = t !== undefined && 'value' in t ? (t.value[0] as number) : 0
  if (blades === 0 || (Number.isInteger(blades) && blades >= 3)) return []
  return [
    {
      code: 'shot.blades',
      what: 'No aperture has this number of blades',
      where: 'plate.treatments["lens.blades"]',
      expected: '0 for a round one, or a whole number from 3 on',
      received: String(blades),
    },
  ]
}

const NO_MAP = {
  code: 'shot.depth-needs',
  what: 'A blur by depth needs the depth map of the place',
  where: 'site.depth',
  expected: 'a depth map of the place',
  received: 'nothing',
  remedy: 'Write site.depth first, or clear the blur by depth.',
} as const

/** One way to say an element's radii, and all of it. */
function depthBlurs({ elements, site }: Shot): ProblemDetail[] {
  return elements.flatMap((e, i) => {
    const has = (name: 'lens.depthBlur' | 'lens.depthFocus' | 'lens.blurGradient') => {
      const t = e.treatments[name]
      return t !== undefined && 'value' in t
    }
    const where = `elements[${i}].treatments`
    // A focus alone blurs nothing; numbers are set one by one, and this one first.
    if (has('lens.depthBlur') && !has('lens.depthFocus'))
      return [
        {
          code: 'shot.depth-blur',
          what: 'A blur by depth is said by two numbers',
          where,
          expected: 'lens.depthBlur and lens.depthFocus',
          received: 'lens.depthBlur alone',
          remedy: 'Set lens.depthFocus first.',
        },
      ]
    if (!followsDepth(e)) return []
    const twice = {
      code: 'shot.depth-blur',
      what: "An element's blur has one course",
      where,
      expected: 'lens.depthBlur or lens.blurGradient',
      received: 'both',
    }
    return [...(has('lens.blurGradient') ? [twice] : []), ...(site.depth === undefined ? [NO_MAP] : [])]
  })
}

function plateBlur({ plate: { blur }, shapes, site }: Shot): ProblemDetail[] {
  if (blur === undefined) return []
  const ids = shapes.map((s) => s.id)
  const faults = (blur.shapes ?? []).flatMap((id, i) =>
    unknownName('shape', id, `plate.blur.shapes[${i}]`, ids),
  )
  if ((blur.gradient === undefined) === (blur.depth === undefined))
    faults.push({
      code: 'shot.plate-blur',
      what: "The plate's blur has one course",
      where: 'plate.blur',
      expected: '"gradient" or "depth"',
      received: blur.gradient === undefined ? 'neither' : 'both',
    })
  if (blur.gradient !== undefined) faults.push(...oneEnd(blur.gradient, 'plate.blur.gradient'))
  return blur.depth !== undefined && site.depth === undefined ? [...faults, NO_MAP] : faults
}
