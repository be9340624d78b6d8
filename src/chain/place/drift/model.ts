/**
 * Drift: an element that moves through the air by itself, in the picture of a camera that stands still.
 *
 *   D = D₀ + a·t     x = c + ((x₀ − c) + v·t / m)·D₀/D     scale = scale₀·D₀/D
 *
 *   D₀, D  its distance at first and now                      m
 *   a, v   speed away from the camera; across and up          m/s
 *   t      time since it first showed                         s
 *   x₀, x  where it stands at first (keys included) and now   plate px
 *   c      middle of the picture: what goes straight away from the camera goes there
 *   m      size of a plate pixel at D₀                        m
 *
 * Source: pinhole projection, [hartley2004 §6.1].
 */
import type { Straight } from '../raster/map.js'

export interface Drift {
  readonly acrossMs: number
  readonly upMs: number
  readonly awayMs: number
  readonly distanceM: number
  /** At `distanceM`. */
  readonly metresPerPixel: number
  /** Middle of the picture, plate pixels. */
  readonly middle: readonly [number, number]
}

/** Factor on its size after some seconds; undefined where it has come past the camera. */
export function driftZoom(d: Drift, seconds: number): number | undefined {
  const now = d.distanceM + d.awayMs * seconds
  return now > 0 ? d.distanceM / now : undefined
}

/** Where it stands after some seconds; undefined where it has come past the camera. */
export function drifted(
  from: Straight,
  d: Drift,
  seconds: number,
  width: number,
  height: number,
): Straight | undefined {
  const zoom = driftZoom(d, seconds)
  if (zoom === undefined) return undefined
  const by = seconds / d.metresPerPixel
  const [cx, cy] = d.middle
  const x = cx + (from.originX + (from.scaleX * width) / 2 - cx + d.acrossMs * by) * zoom
  const y = cy + (from.originY + (from.scaleY * height) / 2 - cy - d.upMs * by) * zoom
  const [scaleX, scaleY] = [from.scaleX * zoom, from.scaleY * zoom]
  return { scaleX, scaleY, originX: x - (scaleX * width) / 2, originY: y - (scaleY * height) / 2 }
}
