import type { MatrixName } from '../core/index.js'

/** Share of R and B in luma; G has the rest. */
export interface LumaWeights {
  readonly kr: number
  readonly kb: number
}

/**
 * Luma weights of Y′ = Kr·R′ + (1 − Kr − Kb)·G′ + Kb·B′, Cb = (B′ − Y′)/(2(1 − Kb)), Cr = (R′ − Y′)/(2(1 − Kr)).
 *
 * Source: [bt601] §2.5.1, [bt709] item 3.2, [bt2020] Table 4 (non-constant luminance).
 */
export const lumaWeights: Readonly<Record<Exclude<MatrixName, 'rgb'>, LumaWeights>> = {
  bt601: { kr: 0.299, kb: 0.114 },
  bt709: { kr: 0.2126, kb: 0.0722 },
  bt2020: { kr: 0.2627, kb: 0.0593 },
}
