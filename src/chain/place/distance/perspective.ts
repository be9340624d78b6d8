/**
 * Perspective: how the element was looked at when it was filmed, beside how this plate looks at its place. A flat keeps the one
 * and is shown in the other.
 *
 *   angle   e = atan((h/2 − H) / D)           seen from above below 0; h its height, H the lens's height, D distance, all m
 *   ratio   (D + depth/2) / (D − depth/2)     how much larger its near side is drawn than its far side
 *
 * Limits are choices. ANGLE: at 10° the top of a round thing opens from a line to an ellipse of 0.17, and ground under it stops
 * to join; beyond 10 to 15° people see it. RATIO: a head 0.2 m
 * deep seen from 1 m (22 %) instead of 2 m (10.5 %) differs by 10 %, which is what people call the face of a wide lens.
 * Source: pinhole projection, [hartley2004 §6.1]; the angle: common practice.
 */
export const ANGLE_LIMIT_DEG = 10
export const RATIO_LIMIT = 0.1

export interface Filmed {
  readonly heightM?: number | undefined
  /** Above 0 the camera looked up. */
  readonly tiltDeg?: number | undefined
  readonly distanceM?: number | undefined
}

export interface View {
  /** Angle under which its middle is seen, above the level positive; undefined where nothing tells. */
  readonly elevationDeg: number | undefined
  /** Near against far size over its depth; undefined where depth or distance is not known. */
  readonly nearToFar: number | undefined
}

export interface PerspectiveCheck {
  readonly apartDeg: number | undefined
  /** Ratio of the ratios, less 1: above 0 the element was filmed from nearer, its depth is drawn too strong. */
  readonly ratioApart: number | undefined
  readonly warnings: readonly string[]
}

/** How it was filmed. Height and distance say more than the tilt, which holds for the middle of its picture alone. */
export function filmedView(f: Filmed, elementHeightM = 0, depthM?: number): View {
  const { heightM, distanceM, tiltDeg } = f
  const byHeight =
    heightM !== undefined && distanceM !== undefined
      ? degrees(Math.atan((elementHeightM / 2 - heightM) / distanceM))
      : undefined
  return { elevationDeg: byHeight ?? tiltDeg, nearToFar: nearToFar(distanceM, depthM) }
}

/** Undefined where its near side would reach the camera. */
export function nearToFar(distanceM: number | undefined, depthM: number | undefined): number | undefined {
  if (distanceM === undefined || depthM === undefined || depthM >= 2 * distanceM) return undefined
  return (distanceM + depthM / 2) / (distanceM - depthM / 2)
}

export function comparePerspective(filmed: View, plate: View): PerspectiveCheck {
  const [e, p] = [filmed.elevationDeg, plate.elevationDeg]
  const apartDeg = e === undefined || p === undefined ? undefined : e - p
  const [re, rp] = [filmed.nearToFar, plate.nearToFar]
  const ratioApart = re === undefined || rp === undefined ? undefined : re / rp - 1
  const warnings: string[] = []
  if (apartDeg !== undefined && Math.abs(apartDeg) > ANGLE_LIMIT_DEG)
    warnings.push(`filmed ${seenFrom(e as number)}, this plate looks at it ${seenFrom(p as number)}`)
  if (ratioApart !== undefined && Math.abs(ratioApart) > RATIO_LIMIT) {
    const more =
      ratioApart > 0 ? 'nearer: its depth is drawn too strong' : 'farther: its depth is drawn too weak'
    warnings.push(
      `filmed from ${more} (its near side ${sizes(re as number)}, here it should be ${sizes(rp as number)})`,
    )
  }
  return { apartDeg, ratioApart, warnings }
}

/** `12° from above`, `2° from below`, `from its own height`. */
export function seenFrom(elevationDeg: number): string {
  const n = Math.round(Math.abs(elevationDeg))
  return n === 0 ? 'from its own height' : `${n}° from ${elevationDeg < 0 ? 'above' : 'below'}`
}

function sizes(ratio: number): string {
  return `${Math.round(100 * (ratio - 1))} % larger than its far side`
}

function degrees(radians: number): number {
  return (radians * 180) / Math.PI
}
