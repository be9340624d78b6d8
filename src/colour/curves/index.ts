import type { CurveName } from '../../core/index.js'
import { acesCc, acesCct } from './aces.js'
import { appleLog } from './apple.js'
import { logC3, logC4 } from './arri.js'
import { canonLog2, canonLog3 } from './canon.js'
import type { Curve } from './curve.js'
import { bt1886, gamma22, gamma24, gamma26, gamma28, linear } from './display.js'
import { dLog } from './dji.js'
import { fLog2 } from './fujifilm.js'
import { filmGen5 } from './gen5.js'
import { hlg, pq } from './hdr.js'
import { vLog } from './panasonic.js'
import { log3G10 } from './red.js'
import { sLog3 } from './sony.js'
import { bt709, srgb } from './video.js'

/** Every transfer curve that an encoding can name. */
export const curves: Readonly<Record<CurveName, Curve>> = {
  linear,
  srgb,
  bt709,
  bt1886,
  gamma22,
  gamma24,
  gamma26,
  gamma28,
  pq,
  hlg,
  's-log3': sLog3,
  'logc3-ei800': logC3(800),
  'logc3-ei160': logC3(160),
  'logc3-ei200': logC3(200),
  'logc3-ei250': logC3(250),
  'logc3-ei320': logC3(320),
  'logc3-ei400': logC3(400),
  'logc3-ei500': logC3(500),
  'logc3-ei640': logC3(640),
  logc4: logC4,
  'v-log': vLog,
  'canon-log-2': canonLog2,
  'canon-log-3': canonLog3,
  log3g10: log3G10,
  'film-gen5': filmGen5,
  'd-log': dLog,
  'apple-log': appleLog,
  'f-log2': fLog2,
  acescc: acesCc,
  acescct: acesCct,
}

/** The record of one curve. */
export function curveOf(name: CurveName): Curve {
  return curves[name]
}
