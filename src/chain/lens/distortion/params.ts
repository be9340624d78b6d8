import type { Param } from '../../../core/index.js'
import { COLUMNS, MAP_TERMS, ROWS } from './map.js'

export const distortionParams: readonly Param[] = [
  {
    name: 'lens.distortion',
    unit: '–',
    count: 5,
    min: -1,
    max: 1,
    default: [0, 0, 0, 0, 0],
    meaning:
      "How the plate's lens bends straight lines: k1, k2, p1, p2, k3 of the Brown-Conrady model, where 1 is half the picture's short side from the lens's axis; k1 below 0 is a barrel.",
    forms: [
      { name: 'brown-conrady', count: 5, meaning: 'k1, k2, p1, p2, k3', source: 'brown1971' },
      {
        name: 'division',
        count: 2,
        meaning: 'λ1, λ2: r = r_d / (1 + λ1·r_d² + λ2·r_d⁴), below 0 for a barrel',
        source: 'fitzgibbon2001',
      },
      {
        name: 'ptlens',
        count: 3,
        meaning: 'a, b, c: r_d = r·(a·r³ + b·r² + c·r + 1 − a − b − c)',
        source: 'lensfun-db',
      },
      { name: 'poly3', count: 1, meaning: 'k1: r_d = r·(1 − k1 + k1·r²)', source: 'lensfun-db' },
      { name: 'poly5', count: 2, meaning: 'k1, k2: r_d = r·(1 + k1·r² + k2·r⁴)', source: 'lensfun-db' },
      {
        name: 'map',
        count: MAP_TERMS,
        meaning: `shifts to the plate without distortion, right and down, of ${COLUMNS} × ${ROWS} places from edge to edge, row by row; written by lens --map`,
        source: 'keys1981',
      },
    ],
    source: 'brown1971',
  },
  {
    name: 'lens.axis',
    unit: '–',
    count: 2,
    min: -1,
    max: 1,
    default: [0, 0],
    meaning:
      "Where the plate's lens has its middle, about which it bends and colours: from the picture's middle, right and down; 1 is half the picture's short side.",
    source: 'brown1971',
  },
]
