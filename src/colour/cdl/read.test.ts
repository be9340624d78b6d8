import { describe, expect, it } from 'vitest'
import { Problem } from '../../core/index.js'
import { cdlCorrections, cdlValues } from './document.js'
import { readCdl } from './read.js'

const sop =
  '<SOPNode><Slope>1.1 1 0.9</Slope><Offset>0.01 0 -0.02</Offset><Power>1 0.95 1.05</Power></SOPNode>'
const sat = '<SatNode><Saturation>0.85</Saturation></SatNode>'
const values = { slope: [1.1, 1, 0.9], offset: [0.01, 0, -0.02], power: [1, 0.95, 1.05], saturation: 0.85 }

const list = `\ufeff<?xml version="1.0" encoding="UTF-8"?>
<ColorDecisionList xmlns="urn:ASC:CDL:v1.01">
  <Description>Day 3 &amp; 4</Description>
  <InputDescription>S-Log3</InputDescription>
  <ViewingDescription>BT.1886, 100 cd/m²</ViewingDescription>
  <Description>second</Description>
  <ColorDecision>
    <MediaRef ref="file:///a001/c004.mov"/>
    <ColorCorrection id="cc0001">
      <Description>warmer</Description>
      <SOPNode>
        <Description>by eye</Description>
        <Slope>1.1  1.0
          .9</Slope>
        <Offset>+0.01 0 -2e-2</Offset>
        <Power>1 0.95 1.05</Power>
      </SOPNode>
      <SatNode><Saturation> 0.85 </Saturation></SatNode>
    </ColorCorrection>
  </ColorDecision>
  <ColorDecision><ColorCorrectionRef ref="cc0001"/><x:Flag xmlns:x="urn:other">1</x:Flag></ColorDecision>
</ColorDecisionList>`

function fault(text: string) {
  try {
    readCdl(text, 'grade.cdl')
  } catch (error) {
    if (error instanceof Problem) return error.detail
    throw error
  }
  throw new Error('no fault')
}

describe('reading', () => {
  it('reads a list with its media, references and every description', () => {
    expect(readCdl(list, 'grade.cdl')).toEqual({
      kind: 'cdl',
      descriptions: ['Day 3 & 4', 'second'],
      inputDescription: 'S-Log3',
      viewingDescription: 'BT.1886, 100 cd/m²',
      decisions: [
        {
          descriptions: [],
          mediaRef: 'file:///a001/c004.mov',
          correction: {
            id: 'cc0001',
            descriptions: ['warmer'],
            sop: {
              slope: values.slope,
              offset: values.offset,
              power: values.power,
              descriptions: ['by eye'],
            },
            sat: { saturation: 0.85, descriptions: [] },
          },
        },
        { descriptions: [], correction: { ref: 'cc0001' } },
      ],
    })
  })

  it('reads a correction and a collection, with or without namespace, prefix and the older spelling', () => {
    const one = readCdl(
      `<ColorCorrection id="a">${sop}${sat.replaceAll('SatNode', 'SATNode')}</ColorCorrection>`,
      'a.cc',
    )
    expect(cdlValues(cdlCorrections(one)[0]!)).toEqual(values)
    const all = readCdl(
      `<c:ColorCorrectionCollection xmlns:c="urn:ASC:CDL:v1.2"><c:ColorCorrection id="a"/><c:ColorCorrection/></c:ColorCorrectionCollection>`,
      'a.ccc',
    )
    expect(cdlCorrections(all).map((c) => c.id)).toEqual(['a', undefined])
    expect(cdlValues(cdlCorrections(all)[0]!)).toEqual({
      slope: [1, 1, 1],
      offset: [0, 0, 0],
      power: [1, 1, 1],
      saturation: 1,
    })
  })

  it.each([
    ['', 'grade.cdl', /./],
    ['<ColorCorrection>\n<SOPNode>\n</ColorCorrection>', 'grade.cdl, line 2', /SOPNode/],
    ['<ColorCorrection id="a" id="b"/>', 'grade.cdl, line 1', /id/],
    ['<ColorCorrection>&what;</ColorCorrection>', 'grade.cdl, line 1', /what/],
    ['slope 1 1 1', 'grade.cdl', /./],
  ])('says where it is not XML: %j', (text, where, received) => {
    const detail = fault(text)
    expect(detail.code).toBe('colour.cdl-xml')
    expect(detail.where).toContain(where)
    expect(detail.received).toMatch(received)
  })

  it.each([
    ['<html/>', '<html>', 'ColorCorrection, ColorCorrectionCollection or ColorDecisionList', 'html'],
    ['<ColorCorrection xmlns="urn:x"/>', '<ColorCorrection>', 'urn:ASC:CDL:v1.01 or none', 'urn:x'],
    ['<ColorCorrectionCollection/>', '<ColorCorrectionCollection>', 'at least one ColorCorrection', 'none'],
    [
      '<ColorCorrection><Slope>1 1 1</Slope></ColorCorrection>',
      '<Slope>',
      'InputDescription, ViewingDescription, SOPNode, SatNode, Description',
      'Slope',
    ],
    [`<ColorCorrection>${sat}${sat}</ColorCorrection>`, '<SatNode>', 'one', 'two'],
    [
      `<ColorCorrection>${sop.replace('1.1 1', '1.1')}</ColorCorrection>`,
      '<Slope>',
      '3 numbers not below 0',
      '1.1 0.9',
    ],
    [
      `<ColorCorrection>${sop.replace('1.1 1', '-1.1 1')}</ColorCorrection>`,
      '<Slope>',
      '3 numbers not below 0',
      '-1.1 1 0.9',
    ],
    [
      `<ColorCorrection>${sop.replace('1.1 1', '1,1 1')}</ColorCorrection>`,
      '<Slope>',
      '3 numbers not below 0',
      '1,1 1 0.9',
    ],
    [
      `<ColorCorrection>${sop.replace('0.95', '0')}</ColorCorrection>`,
      '<Power>',
      '3 numbers above 0',
      '1 0 1.05',
    ],
    [
      `<ColorCorrection>${sop.replace('-0.02', 'nan')}</ColorCorrection>`,
      '<Offset>',
      '3 numbers',
      '0.01 0 nan',
    ],
    [`<ColorCorrection>${sop.replace(/<Power.*Power>/, '')}</ColorCorrection>`, '<SOPNode>', 'Power', 'none'],
    [
      `<ColorCorrection>${sat.replace('0.85', '')}</ColorCorrection>`,
      '<Saturation>',
      'a number not below 0',
      'nothing',
    ],
    ['<ColorCorrection id=" "/>', '<ColorCorrection>', 'a text', 'none'],
    [
      '<ColorDecisionList><ColorDecision/></ColorDecisionList>',
      '<ColorDecision>',
      'ColorCorrection or ColorCorrectionRef',
      'neither',
    ],
    [
      '<ColorCorrectionCollection><ColorCorrection id="a"/><ColorCorrection id="a"/></ColorCorrectionCollection>',
      'grade.cdl',
      'an id once',
      'a',
    ],
  ])('says what is wrong: %j', (text, where, expected, received) => {
    expect(fault(text)).toMatchObject({ code: 'colour.cdl-content', expected, received })
    expect(fault(text).where).toContain(where)
  })

  it('says the line of the fault', () => {
    expect(fault(list.replace('0.85', 'much')).where).toBe('grade.cdl, line 18, <Saturation>')
  })
})
