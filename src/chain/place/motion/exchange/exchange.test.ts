import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { invert3 } from '../../../../colour/index.js'
import { Problem } from '../../../../core/index.js'
import { at, type Matrix3, type Place } from '../matrix.js'
import { anglesOfMotion, motionOfAngles } from './angles.js'
import type { MotionFile } from './file.js'
import { readMotionCsv } from './readCsv.js'
import { readMotionJson } from './readJson.js'
import { framesOfFile, pointsOfFile } from './use.js'
import { anglesCsv, matricesCsv, matricesJson, pointsCsv, pointsJson } from './write.js'

const problem = (work: () => unknown) => {
  try {
    work()
  } catch (e) {
    if (e instanceof Problem) return e.message
    throw e
  }
  return 'none'
}
const number = fc.double({ min: -1e4, max: 1e4, noNaN: true }).map((v) => v + 0)
const matrix = fc
  .tuple(...Array.from({ length: 8 }, () => number))
  .map((m) => [...m, 1] as unknown as Matrix3)
  .filter((m) => invert3(m).every(Number.isFinite))
type Matrices = Extract<MotionFile, { kind: 'matrices' }>
const plate = { width: 1920, height: 1080 }
/** What a file says that was written here. */
const ours = { size: plate, y: 'down', assumed: [] }

describe('points and matrices as CSV', () => {
  it('are read as the head says, and what it does not say is said', () => {
    expect(
      readMotionCsv(
        '# made on set\n# pixel centres: whole\n# first frame: 1001\nframe,x,y\n1001,10,20\n1003,11.5,-2e1\n',
        'a.csv',
      ),
    ).toEqual({
      kind: 'points',
      points: [
        {
          name: '',
          seen: [
            [0, 10.5, 20.5],
            [2, 12, -19.5],
          ],
        },
      ],
      assumed: [],
    })
    const plain = readMotionCsv('\ufeffframe, x, y, name\r\n0,1,2,door\r\n0,3,4,lamp\r\n', 'a.csv')
    expect(plain).toMatchObject({ points: [{ name: 'door', seen: [[0, 1, 2]] }, { name: 'lamp' }] })
    expect(plain.assumed).toHaveLength(2)
  })

  it('moves matrices to our pixels: (x, y) with centres at whole numbers is (x + ½, y + ½) here', () => {
    const rows = '0,1,0,0,0,1,0,0,0,1\n1,2,0,5,0,2,7,0,0.001,2\n'
    const read = (head: string) =>
      (readMotionCsv(`${head}frame,m1,m2,m3,m4,m5,m6,m7,m8,m9\n${rows}`, 'm.csv') as Matrices).matrices[1]
        ?.matrix as Matrix3
    const [x, y] = at(read('# pixel centres: half\n'), 30, 40)
    const [u, v] = at(read('# pixel centres: whole\n'), 30.5, 40.5)
    expect([u, v]).toEqual([expect.closeTo(x + 0.5, 12), expect.closeTo(y + 0.5, 12)])
  })

  it('are refused with their line', () => {
    const cases: [string, RegExp][] = [
      ['', /line 1: there is nothing in it; expected a header and rows; received no header/],
      [
        'frame,x\n1,2',
        /line 1: the header is wrong; expected frame,x,y or .*received frame,x\. Mend the file there/,
      ],
      ['frame;x;y\n', /line 1: the header is wrong/],
      [
        'frame,x,y\n0,1,2\n1,2',
        /line 3: this row is wrong; expected 3 values \(frame,x,y\); received 2: 1,2/,
      ],
      ['frame,x,y\n0,1,NaN', /line 2: y is wrong; expected a number; received NaN/],
      ['frame,x,y\n0,1,', /line 2: y is wrong; expected a number; received nothing/],
      [
        'frame,x,y\n0.5,1,2',
        /line 2: this is no frame of the shot; expected a whole number, 0 or more; received 0.5/,
      ],
      [
        '# first frame: 10\nframe,x,y\n9,1,2',
        /line 3: this is no frame of the shot; expected a whole number, 10 or more/,
      ],
      ['frame,x,y\n0,1,2\n\n0,1,2', /line 4: this frame is there twice; .*received line 2 too/],
      [
        '# pixel centres: top\nframe,x,y\n0,1,2',
        /line 1: pixel centres are wrong; expected half or whole; received top/,
      ],
      ['# size: 1920\nframe,x,y\n0,1,2', /line 1: the size is wrong; .*received 1920/],
      ['\n# y: left\nframe,x,y\n0,1,2', /line 2: the way of y is wrong; expected down or up; received left/],
      [
        'frame,m1,m2,m3,m4,m5,m6,m7,m8,m9\n0,1,0,0,0,1,0,0,0,1\n1,1,2,0,2,4,0,0,0,1',
        /line 3: this matrix presses the picture flat/,
      ],
      ['frame,x,y,name\n0,1,2,"a"', /line 2: this name is wrong/],
      [
        'frame,m1,m2,m3,m4,m5,m6,m7,m8,m9\n0,1,0,0,0,1,0,0,0,0',
        /line 2: this matrix carries the corner to infinity/,
      ],
      ['frame,pan,tilt,roll,focal\n0,1,2,3,0', /line 2: this focal length is wrong/],
    ]
    for (const [text, message] of cases)
      expect(
        problem(() => readMotionCsv(text, 'a.csv')),
        text,
      ).toMatch(message)
  })

  it('come back digit for digit', () => {
    fc.assert(
      fc.property(fc.array(matrix, { minLength: 1, maxLength: 5 }), (list) => {
        const frames = list.map((m, frame) => ({ frame: 2 * frame, matrix: m }))
        const states = frames.map((f, i) => ({
          ...f,
          state: i % 2 ? ('bridged' as const) : ('tracked' as const),
        }))
        const bridged = frames.flatMap(({ frame }, i) => (i % 2 ? [frame] : []))
        for (const read of [
          readMotionCsv(matricesCsv(states, plate), 'a'),
          readMotionJson(matricesJson(states, plate), 'a'),
        ])
          expect(read).toEqual({ kind: 'matrices', matrices: frames, bridged, ...ours })
      }),
    )
    const points = [
      {
        name: 'door',
        seen: [
          [0, 0.1, 1 / 3],
          [4, -2.5e-7, 1e21],
        ] as [number, number, number][],
      },
    ]
    expect(readMotionCsv(pointsCsv(points, plate), 'a')).toEqual({ kind: 'points', points, ...ours })
    expect(readMotionJson(pointsJson(points, plate), 'a')).toEqual({ kind: 'points', points, ...ours })
  })
})

describe('motions as JSON', () => {
  const corners = [
    [100, 50],
    [1800, 120],
    [1700, 1000],
    [200, 900],
  ]
  const frame = [
    [0, 0],
    [1920, 0],
    [1920, 1080],
    [0, 1080],
  ]

  it('are matrices or corners, bare or with a head', () => {
    // Values of OpenCV's getPerspectiveTransform for these corners.
    const read = readMotionJson(JSON.stringify([frame, corners]), 'a.json') as Matrices
    expect(read.matrices[1]?.matrix[1]).toBeCloseTo(0.11668059, 8)
    expect(read.matrices[1]?.matrix[7]).toBeCloseTo(1.2044e-4, 8)
    expect(read.assumed).toHaveLength(2)
    const headed = {
      pixelCentres: 'half',
      firstFrame: 1,
      frames: [
        { frame: 3, corners },
        { frame: 1, corners: frame },
      ],
    }
    const framed = readMotionJson(JSON.stringify(headed), 'a.json') as Matrices
    expect(framed.matrices.map((m) => m.frame)).toEqual([0, 2])
    expect(framed.assumed).toEqual([])
  })

  it('may be points, moved to our pixels', () => {
    const seen = [
      [1003, 11.5, -20],
      [1001, 10, 20],
    ]
    const text = JSON.stringify({ pixelCentres: 'whole', firstFrame: 1001, points: [{ name: 'door', seen }] })
    expect(readMotionJson(text, 'a.json')).toEqual({
      kind: 'points',
      points: [
        {
          name: 'door',
          seen: [
            [0, 10.5, 20.5],
            [2, 12, -19.5],
          ],
        },
      ],
      assumed: [],
    })
  })

  it('may be bridged on frames, counted as the file counts', () => {
    const frames = [
      [1, 0, 0, 0, 1, 0, 0, 0, 1],
      [1, 0, 4, 0, 1, 0, 0, 0, 1],
    ].map((m, i) => ({ frame: 10 + i, matrix: m }))
    const read = readMotionJson(
      JSON.stringify({ firstFrame: 10, bridged: [11, 12], frames }),
      'a',
    ) as Matrices
    expect(read.bridged).toEqual([1])
  })

  it('are refused with their place', () => {
    const cases: [unknown, RegExp][] = [
      [[], /there is nothing in it/],
      [5, /this is no motion; expected a list of frames; received 5/],
      [
        [[1, 2, 3]],
        /a.json, frames\[0\]: this entry is wrong; expected a matrix of nine numbers, or four corners \[x, y\]; received \[1,2,3\]/,
      ],
      [
        [{ frame: 0, corners, matrix: [] }],
        /it must hold one of both; expected matrix or corners; received both/,
      ],
      [[{ frame: -1, corners }], /this is no frame of the shot/],
      [
        [
          { frame: 0, corners },
          { frame: 0, corners },
        ],
        /frames\[1\]: this frame is there twice/,
      ],
      [[corners, [1, 0, 0, 0, 1, 0, 0, 0, 1]], /frames\[1\]: it mixes matrices and corners/],
      [
        [
          frame,
          [
            [0, 0],
            [1, 1],
            [2, 2],
            [0, 5],
          ],
        ],
        /frames\[1\]: these corners are wrong/,
      ],
      [{ frames: [corners], fps: 25 }, /this name is unknown; .* received fps/],
      [{ frames: [corners], pixelCentres: 'mid' }, /pixel centres are wrong; expected half or whole/],
      [
        { frames: [corners], size: [1920] },
        /the size is wrong; expected width and height, px; received \[1920\]/,
      ],
      [{ frames: [corners], y: 'left' }, /the way of y is wrong; expected down or up; received "left"/],
      [
        { frames: [corners], points: [] },
        /it must hold one of both; expected frames or points; received both/,
      ],
      [{ points: [] }, /there is nothing in it; expected one point or more/],
      [{ points: [{ seen: [] }] }, /a.json, points\[0\]: this point is wrong/],
      [
        {
          points: [
            {
              seen: [
                [0, 1, 2],
                [0, 1],
              ],
            },
          ],
        },
        /a.json, points\[0\].seen\[1\]: this entry is wrong; expected frame, x and y/,
      ],
      [
        {
          points: [
            {
              seen: [
                [0, 1, 2],
                [0, 1, 2],
              ],
            },
          ],
        },
        /points\[0\].seen\[1\]: this frame is there twice/,
      ],
      [{ frames: [corners], bridged: [0.5] }, /bridged frames are wrong; expected whole numbers/],
      [{ platefitTrack: 1 }, /this is what came of a track; expected what `platefit track SHOT ID --export/],
      [[[1, 2, 0, 2, 4, 0, 0, 0, 1]], /frames\[0\]: this matrix presses the picture flat/],
    ]
    for (const [document, message] of cases)
      expect(problem(() => readMotionJson(JSON.stringify(document), 'a.json'))).toMatch(message)
    expect(problem(() => readMotionJson('{', 'a.json'))).toMatch(/a.json: this is not JSON/)
  })
})

describe('a turning camera as angles', () => {
  const middle: Place = [960, 540]
  const still = { pan: 0, tilt: 0, roll: 0, focalPx: 1500 }

  it('pans right, so that things go left by F·tan, tilts up so that they go down, rolls clockwise so that they turn back', () => {
    const go = (angles: object, place: Place = middle) =>
      at(motionOfAngles(still, { ...still, ...angles }, middle), ...place)
    expect(go({ pan: 10 })[0]).toBeCloseTo(960 - 1500 * Math.tan(Math.PI / 18), 9)
    expect(go({ tilt: 10 })[1]).toBeCloseTo(540 + 1500 * Math.tan(Math.PI / 18), 9)
    expect(go({ roll: 90 }, [1060, 540])).toEqual([expect.closeTo(960, 9), expect.closeTo(440, 9)])
    expect(go({ focalPx: 3000 }, [1060, 540])[0]).toBeCloseTo(1160, 9)
  })

  it('comes back from its matrices', () => {
    const angle = fc.double({ min: -40, max: 40, noNaN: true })
    fc.assert(
      fc.property(angle, angle, angle, (pan, tilt, roll) => {
        const back = anglesOfMotion(
          motionOfAngles(still, { ...still, pan, tilt, roll }, middle),
          1500,
          middle,
        )
        expect([back.pan, back.tilt, back.roll]).toEqual([pan, tilt, roll].map((v) => expect.closeTo(v, 8)))
      }),
    )
    const frames = [0, 5].map((frame) => ({
      frame,
      matrix: motionOfAngles(still, { ...still, pan: frame, roll: 1 - frame / 5 }, middle),
    }))
    const read = readMotionCsv(anglesCsv(frames, 1500, middle, plate), 'a') as Extract<
      MotionFile,
      { kind: 'angles' }
    >
    const used = framesOfFile(read, 0, { first: 0, count: 6 }, plate).frames
    const roll1 = motionOfAngles({ ...still, roll: 1 }, { ...still, pan: 5 }, middle)
    used[5]?.matrix.forEach((v, i) => {
      expect(v).toBeCloseTo(roll1[i] as number, 7)
    })
    expect(used.map((f) => f.state)).toEqual([
      'tracked',
      'bridged',
      'bridged',
      'bridged',
      'bridged',
      'tracked',
    ])
  })
})

describe('a file as the motion of a shot', () => {
  it('starts from the reference frame, whichever the file starts from', () => {
    const shiftBy = (x: number): Matrix3 => [1, 0, x, 0, 1, 0, 0, 0, 1]
    const matrices = [0, 1, 2].map((frame) => ({ frame, matrix: shiftBy(10 * frame + 7) }))
    const { frames, said } = framesOfFile(
      { kind: 'matrices', matrices, bridged: [], assumed: [] },
      1,
      { first: 0, count: 5 },
      plate,
    )
    expect(frames.map((f) => [f.state, f.matrix[2]])).toEqual([
      ['tracked', -10],
      ['tracked', 0],
      ['tracked', 10],
      ['lost', 10],
      ['lost', 10],
    ])
    expect(said).toEqual([
      expect.stringMatching(/^Frames 3 to 4 are lost/),
      expect.stringMatching(/0.5 px is assumed/),
    ])
    expect(
      problem(() =>
        framesOfFile(
          { kind: 'matrices', matrices, bridged: [], assumed: [] },
          4,
          { first: 0, count: 5 },
          plate,
        ),
      ),
    ).toMatch(/nothing on the reference frame; expected frame 4/)
  })

  it('leaves out points that the reference frame does not show', () => {
    const points = [
      {
        name: 'a',
        seen: [
          [0, 1, 2],
          [1, 3, 4],
        ],
      },
      { name: 'b', seen: [[1, 5, 6]] },
    ] as const
    expect(pointsOfFile(points, 0)).toEqual({
      points: [
        {
          from: [1, 2],
          seen: [
            [0, 1, 2, 0.5],
            [1, 3, 4, 0.5],
          ],
        },
      ],
      said: [expect.stringMatching(/^Point b is not seen/), expect.stringMatching(/0.5 px is assumed/)],
    })
    expect(problem(() => pointsOfFile(points, 7))).toMatch(/nothing on the reference frame/)
  })
})
