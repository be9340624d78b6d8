/** Every kernel against its plain twin, one thread each, on a 1080p picture in the kernels' memory. */
import { curveOf } from '../../src/colour/index.js'
import { allocateFrame, type FloatImage } from '../../src/core/index.js'
import { apertureBlur as plainAperture } from '../../src/kernels/aperture/scalar.js'
import { throwLight as plainCast } from '../../src/kernels/cast/scalar.js'
import { convertFrame as plainConvert } from '../../src/kernels/convert/scalar.js'
import { cover as plainCover } from '../../src/kernels/cover/scalar.js'
import { applyCurve as plainCurve } from '../../src/kernels/curve/scalar.js'
import { discBlur as plainDisc } from '../../src/kernels/disc/scalar.js'
import { lightSums as plainSums } from '../../src/kernels/emission/scalar.js'
import { takeFloor as plainFloor } from '../../src/kernels/floor/scalar.js'
import { gaussianBlur as plainGaussian } from '../../src/kernels/gaussian/scalar.js'
import { grainRows } from '../../src/kernels/grain/apply.js'
import { coarseField as plainCoarse, grainField as plainGrain } from '../../src/kernels/grain/scalar.js'
import { countInto as plainCount } from '../../src/kernels/histogram/scalar.js'
import * as ours from '../../src/kernels/index.js'
import { layeredBlur as plainLayered } from '../../src/kernels/layered/scalar.js'
import { applyMatrix as plainMatrix } from '../../src/kernels/linear/scalar.js'
import { channelNoise } from '../../src/kernels/noise/scalar.js'
import { over as plainOver } from '../../src/kernels/over/scalar.js'
import { pack as plainPack } from '../../src/kernels/pack/scalar.js'
import { patch as plainPatch } from '../../src/kernels/planes/patchScalar.js'
import { unpack as plainUnpack } from '../../src/kernels/planes/scalar.js'
import { resample as plainResample } from '../../src/kernels/resample/scalar.js'
import { straightCurves as plainStraight } from '../../src/kernels/straight/scalar.js'
import { streak as plainStreak } from '../../src/kernels/streak/scalar.js'
import { warp as plainWarp } from '../../src/kernels/warp/scalar.js'
import { HEIGHT, LENS, noisy, region, SIZE, WIDTH } from './picture.js'
import { faster, type Row } from './timing.js'

const TAPS = { x: [0.1, 0.4, 1, 0.4, 0.1], y: [0.1, 0.4, 1, 0.4, 0.1] }
const FIELD = [TAPS, TAPS, TAPS] as const
const MIXING = ours.mixFactor([0.3, 0.2, 0.3])
const BLOTCHES = { size: 8, mixing: MIXING }
const MATRIX = [0.5, 0.3, 0.2, 0.2, 0.6, 0.2, 0.1, 0.1, 0.8]
const MAP = { scaleX: 0.97, scaleY: 0.97, originX: 11.3, originY: 7.7 }
/** A corner moved by 0.8 %, red and blue apart from green by 0.8 and 0.6 px there. */
const CODING = { range: 'limited', matrix: 'bt709', siting: 'left' } as const

/** 20 px to the right and 4 down: a hand's pan. */
const STREAK = ours.streakMap(region, 32, (_x, _y, out) => out.set([-10, -2, 10, 2])) as ours.StreakMap
const LAMPS = {
  peak: [1e-3, 1e-3, 1e-3],
  nearest: [900, 500],
  across: 0.004,
  down: 0.003,
  awayM: 2,
  spread: 90,
} as const

const SIX_BLADES = { blades: 6, rotationDeg: 10, squeeze: 1, corner: 0 }
/** A part of the picture: the plain twin takes ten seconds for all of it. */
const EIGHTH = { x: WIDTH / 4, y: HEIGHT / 4, width: WIDTH / 2, height: HEIGHT / 4 }
/** Near at the left, far at the right. */
const SLOPE = { at: (x: number) => (16 * x) / WIDTH - 8, most: 8 }

interface Pair {
  readonly name: string
  readonly size: string
  readonly ours: () => void
  readonly twin: () => void
}

/** Of the kernels whose names begin with `only`. */
export function kernelRows(rounds: number, only: string): Row[] {
  return ours.duringFrame(() =>
    pairs(ours.copyImage(noisy()))
      .filter((p) => p.name.startsWith(only))
      .map((p) => faster(p.name, p.size, p.ours, 'scalar', p.twin, rounds)),
  )
}

/** `resident` lives in the kernels' memory while a frame is open; twins work on arrays of their own. */
function pairs(resident: FloatImage): Pair[] {
  const plain = noisy()
  const decode = ours.curveTable(curveOf('bt709').decode)
  const three = [decode, decode, decode] as const
  const layer = ours.copyImage(resident)
  const frame = allocateFrame(
    { family: 'yuv', bits: 10, float: false, subX: 1, subY: 0, alpha: false },
    WIDTH,
    HEIGHT,
  )
  frame.planes.forEach(({ data }) => {
    for (let i = 0; i < data.length; i++) data[i] = 64 + ((i * 7919) % 800)
  })
  const eight = allocateFrame({ ...frame.layout, bits: 8, subY: 1 }, WIDTH, HEIGHT)
  eight.planes.forEach(({ data }) => {
    for (let i = 0; i < data.length; i++) data[i] = 16 + ((i * 7919) % 200)
  })
  const pixels = WIDTH * HEIGHT
  const ground = (light: FloatImage) => ({
    light,
    variance: ours.newFloats(4 * pixels).fill(1e-4),
    keep: ours.newFloats(pixels).fill(1),
    touched: ours.newBytes(pixels).fill(1),
  })
  const [under, plainUnder] = [ground(resident), ground(plain)]
  const before = ours.copyImage(resident)
  const counts = ours.newHistogram()
  const wall = { region, share: ours.newFloats(pixels).fill(0.7) }
  return [
    pair(
      'unpack',
      () => ours.unpack(frame, CODING, region),
      () => plainUnpack(frame, CODING, region),
    ),
    pair(
      'convert-420-to-422',
      () => ours.convertFrame(eight, CODING, frame.layout, CODING),
      () => plainConvert(eight, CODING, frame.layout, CODING),
    ),
    pair(
      'pack',
      () => ours.pack(resident, frame.layout, CODING),
      () => plainPack(plain, frame.layout, CODING),
    ),
    pair(
      'curve',
      () => ours.applyCurve(resident, decode),
      () => plainCurve(plain, decode),
    ),
    pair(
      'matrix',
      () => ours.applyMatrix(resident, MATRIX),
      () => plainMatrix(plain, MATRIX),
    ),
    pair(
      'over',
      () => ours.over(resident, layer),
      () => plainOver(plain, layer),
    ),
    pair(
      'cover',
      () => ours.cover(under, layer, [0, 0, 0]),
      () => plainCover(plainUnder, layer, [0, 0, 0]),
    ),
    pair(
      'straight-curves',
      () => ours.straightCurves(resident, three),
      () => plainStraight(plain, three),
    ),
    pair(
      'resample',
      () => ours.resample(resident, MAP, region),
      () => plainResample(plain, MAP, region),
    ),
    pair(
      'warp',
      () => ours.warp(resident, LENS, region),
      () => plainWarp(plain, LENS, region),
    ),
    pair(
      'disc-6',
      () => ours.discBlur(resident, 6),
      () => plainDisc(plain, 6),
    ),
    pair(
      'aperture-6',
      () => ours.apertureBlur(resident, 6, SIX_BLADES, region),
      () => plainAperture(plain, 6, SIX_BLADES, region),
    ),
    pair(
      'layered-8',
      () => ours.layeredBlur(resident, SLOPE, SIX_BLADES, region, EIGHTH),
      () => plainLayered(plain, SLOPE, SIX_BLADES, region, EIGHTH),
      `${EIGHTH.width}x${EIGHTH.height}`,
    ),
    pair(
      'streak-20',
      () => ours.streak(resident, STREAK, region),
      () => plainStreak(plain, STREAK, region),
    ),
    pair(
      'floor',
      () => ours.takeFloor(resident, [0.01, 0.01, 0.01], [0.1, 0.1, 0.1]),
      () => plainFloor(plain, [0.01, 0.01, 0.01], [0.1, 0.1, 0.1]),
    ),
    pair(
      'cast',
      () => ours.throwLight(under, wall, LAMPS),
      () => plainCast(plainUnder, wall, LAMPS),
    ),
    pair(
      'emission',
      () => ours.lightSums(resident),
      () => plainSums(plain),
    ),
    pair(
      'histogram',
      () => ours.countInto(counts, resident),
      () => plainCount(counts, plain),
    ),
    pair(
      'block-noise',
      () => ours.blockStats(resident, 16),
      () => plainBlocks(plain, 16),
    ),
    pair(
      'gaussian-20',
      () => ours.gaussianBlur(resident, 20, region),
      () => plainGaussian(plain, 20, region),
    ),
    pair(
      'grain',
      () => {
        const row = grainRows({ seed: 1, frame: 2, taps: FIELD, mixing: MIXING }, region)
        for (let y = 0; y < region.height; y++) row(y)
      },
      () => plainGrain(1, 2, region, FIELD, MIXING),
    ),
    pair(
      'coarse grain',
      () => {
        const row = ours.coarseRows({ seed: 1, frame: 2 }, BLOTCHES, region)
        for (let y = 0; y < region.height; y++) row(y)
      },
      () => plainCoarse(1, 2, region, BLOTCHES),
    ),
    pair(
      'patch',
      () => ours.patch(frame, before, resident, under.keep, under.touched, CODING),
      () => plainPatch(frame, before, resident, under.keep, under.touched, CODING),
    ),
  ]
}

function pair(name: string, fast: () => void, twin: () => void, size = SIZE): Pair {
  return { name, size, ours: () => ours.duringScratch(fast), twin }
}

function plainBlocks(image: FloatImage, size: number): void {
  const residual = new Float64Array(size * size)
  for (let y = 0; y + size <= HEIGHT; y += size) {
    for (let x = 0; x + size <= WIDTH; x += size) {
      for (let c = 0; c < 3; c++) channelNoise(image, 4 * (y * WIDTH + x) + c, size, residual)
    }
  }
}
