import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { askOpenColourIo, noOpenColourIo, openColourIo } from '../../../test/colour/openColourIo.js'
import { type CdlDocument, type ColorCorrection, cdlCorrections, cdlValues } from './document.js'
import type { CdlValues } from './model.js'
import { readCdl } from './read.js'
import { writeCdl } from './write.js'

const values: CdlValues = {
  slope: [1.1, 1, 0.9],
  offset: [0.01, 0, -0.02],
  power: [1, 0.95, 1.05],
  saturation: 0.85,
}
const { saturation, ...sop } = values
const graded: ColorCorrection = {
  id: 'cc0001',
  descriptions: ['warmer'],
  sop: { ...sop, descriptions: [] },
  sat: { saturation, descriptions: [] },
}

const words = fc.string({ unit: fc.constantFrom(...'aé<>&"\' \n\u{1F525}') })
const number = (least: number) => fc.double({ min: least, max: 1e25, noNaN: true }).map((v) => v + 0)
const three = (least: number) => fc.tuple(number(least), number(least), number(least))
const correction: fc.Arbitrary<ColorCorrection> = fc.record(
  {
    descriptions: fc.array(words, { maxLength: 2 }),
    inputDescription: words,
    viewingDescription: words,
    sop: fc.record({
      slope: three(0),
      offset: three(-1e3),
      power: three(1e-9),
      descriptions: fc.array(words, { maxLength: 2 }),
    }),
    sat: fc.record({ saturation: number(0), descriptions: fc.array(words, { maxLength: 1 }) }),
  },
  { requiredKeys: ['descriptions'] },
) as fc.Arbitrary<ColorCorrection>

describe('writing', () => {
  it('gives the same content back, to the last digit and letter', () => {
    fc.assert(
      fc.property(fc.array(correction, { minLength: 1, maxLength: 3 }), words, (some, text) => {
        const corrections = some.map((c, i) => ({ ...c, id: `id <${i}> "&"` }))
        const documents: CdlDocument[] = [
          { kind: 'cc', correction: corrections[0]! },
          { kind: 'ccc', descriptions: [text], inputDescription: text, corrections },
          {
            kind: 'cdl',
            descriptions: [],
            viewingDescription: text,
            decisions: [
              ...corrections.map((c) => ({ descriptions: [text], mediaRef: 'a&b.mov', correction: c })),
              { descriptions: [], inputDescription: text, correction: { ref: 'other' } },
            ],
          },
        ]
        for (const document of documents) {
          const text = writeCdl(document)
          expect(text).not.toMatch(/\de[-+]?\d/)
          expect(readCdl(text, 'back.xml')).toEqual(document)
        }
      }),
      { numRuns: 100 },
    )
  })

  it('writes plain indented XML in the namespace of the format', () => {
    const text = writeCdl({
      kind: 'cc',
      correction: { id: 'a', descriptions: [], sat: { saturation: 1e-7, descriptions: [] } },
    })
    expect(text).toBe(`<?xml version="1.0" encoding="UTF-8"?>
<ColorCorrection id="a" xmlns="urn:ASC:CDL:v1.01">
    <SatNode>
        <Saturation>0.0000001</Saturation>
    </SatNode>
</ColorCorrection>
`)
  })

  it('refuses words that XML cannot carry', () => {
    const write = () => writeCdl({ kind: 'cc', correction: { descriptions: ['bell \u0007'] } })
    expect(write).toThrowError(expect.objectContaining({ code: 'colour.cdl-words' }))
  })

  it.skipIf(openColourIo === undefined)(
    `OpenColorIO reads what is written, and is read (${noOpenColourIo})`,
    () => {
      const texts = [
        writeCdl({ kind: 'cc', correction: graded }),
        writeCdl({ kind: 'ccc', descriptions: [], corrections: [graded] }),
      ]
      const answer = askOpenColourIo<{ read: number[][]; written: string[] }>(
        `
import os, tempfile
def back(text, ending):
    path = os.path.join(tempfile.mkdtemp(), 'a' + ending)
    with open(path, 'w') as f: f.write(text)
    t = O.CDLTransform.CreateFromFile(path, 'cc0001')
    return t.getSOP() + [t.getSat()]
t = O.CDLTransform([1.1, 1, .9], [.01, 0, -.02], [1, .95, 1.05], .85)
g = O.GroupTransform([t])
formats = ['ColorCorrection', 'ColorCorrectionCollection', 'ColorDecisionList']
print(json.dumps({'read': [back(job[0], '.cc'), back(job[1], '.ccc')],
  'written': [g.write(f, O.Config.CreateRaw()) for f in formats]}))`,
        texts,
      )
      for (const nine of answer.read) {
        expect(nine).toEqual([...values.slope, ...values.offset, ...values.power, values.saturation])
      }
      for (const text of answer.written) {
        expect(cdlCorrections(readCdl(text, 'ocio')).map(cdlValues)).toEqual([values])
      }
    },
  )
})

describe('what no file may hold', () => {
  const of = (sop: Partial<CdlValues>): CdlDocument => ({
    kind: 'cc',
    correction: { ...graded, sop: { ...values, ...sop, descriptions: [] } },
  })
  it.each<[string, CdlDocument]>([
    ['NaN', of({ slope: [Number.NaN, 1, 1] })],
    ['-1', of({ slope: [1, -1, 1] })],
    ['Infinity', of({ offset: [0, 0, Number.POSITIVE_INFINITY] })],
    ['0', of({ power: [1, 0, 1] })],
    ['-0.5', { kind: 'cc', correction: { ...graded, sat: { saturation: -0.5, descriptions: [] } } }],
    ["''", { kind: 'cc', correction: { ...graded, id: '' } }],
    ['none', { kind: 'ccc', corrections: [], descriptions: [] }],
    ['none', { kind: 'cdl', decisions: [], descriptions: [] }],
  ])('is not written: %s', (received, document) => {
    expect(() => writeCdl(document)).toThrow(
      expect.objectContaining({ detail: expect.objectContaining({ code: 'colour.cdl-values', received }) }),
    )
  })
})
