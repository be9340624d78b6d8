import type { Param } from '../core/index.js'
import { hazeParams } from './air/haze/params.js'
import { visibilityParams } from './air/visibility/params.js'
import { aberrationParams } from './lens/aberration/params.js'
import { colourBlurParams } from './lens/colourBlur/params.js'
import { apertureParams, defocusParams } from './lens/defocus/params.js'
import { distortionParams } from './lens/distortion/params.js'
import { glareParams } from './lens/glare/params.js'
import { vignetteParams } from './lens/vignette/params.js'
import { ambientParams } from './light/ambient/params.js'
import { castParams } from './light/cast/params.js'
import { emissionParams } from './light/emission/params.js'
import { matchParams } from './light/match/params.js'
import { elementGrainParams, plateGrainParams } from './sensor/grain/params.js'
import { limitsParams } from './sensor/limits/params.js'
import { responseParams } from './sensor/response/params.js'
import { elementSharpeningParams, sharpeningParams } from './sensor/sharpening/params.js'
import { smearingParams } from './sensor/smearing/params.js'
import { elementChromaParams, softChromaParams } from './sensor/softChroma/params.js'
import { angleParams } from './shutter/angle/params.js'
import { ownMotionParams } from './shutter/ownMotion/params.js'
import { alphaParams } from './source/alpha/params.js'
import { ceilingParams } from './source/ceiling/params.js'
import { floorParams } from './source/floor/params.js'

/** Every treatment that an element can carry, in the order of the light's path. */
export const elementParams: readonly Param[] = [
  ...alphaParams,
  ...floorParams,
  ...ceilingParams,
  ...matchParams,
  ...emissionParams,
  ...castParams,
  ...hazeParams,
  ...defocusParams,
  ...ownMotionParams,
  ...elementGrainParams,
  ...elementSharpeningParams,
  ...elementChromaParams,
]

/** Every treatment that belongs to the plate and is shared by all elements. */
export const plateParams: readonly Param[] = [
  ...responseParams,
  ...ambientParams,
  ...visibilityParams,
  ...distortionParams,
  ...aberrationParams,
  ...colourBlurParams,
  ...apertureParams,
  ...vignetteParams,
  ...glareParams,
  ...angleParams,
  ...limitsParams,
  ...smearingParams,
  ...sharpeningParams,
  ...softChromaParams,
  ...plateGrainParams,
]
