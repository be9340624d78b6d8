import { Problem } from '../../core/index.js'
import { type DistanceResult, distanceOf, lengthWords } from '../../engine/distance.js'
import { loadShot } from '../../engine/document.js'
import { evidenceText } from '../evidence.js'
import type { Outcome } from '../outcome.js'
import { table } from '../table.js'

export interface DistanceArguments {
  readonly at?: { x: number; y: number }
  readonly height?: number
  readonly heightPx?: number
  readonly contrast?: number
}

/** Each way's answer, what they come to, metres and pixels; exit 1 when the element's size is wrong there. */
export async function distance(
  path: string,
  element: string | undefined,
  o: DistanceArguments,
): Promise<Outcome> {
  if (element === undefined && o.at === undefined)
    throw new Problem({
      code: 'cli.usage',
      what: 'It is not said whose distance',
      expected: 'an element, or a place with --at x,y',
      received: 'neither',
    })
  if ((o.height === undefined) !== (o.heightPx === undefined))
    throw new Problem({
      code: 'cli.usage',
      what: 'A height tells a distance only with the pixels that it takes',
      where: o.height === undefined ? '--height-px' : '--height',
      expected: '--height m and --height-px px',
      received: 'one of them',
    })
  const { shot, folder } = await loadShot(path)
  const found = await distanceOf(shot, folder, {
    element,
    at: o.at && [o.at.x, o.at.y],
    heightM: o.height,
    heightPx: o.heightPx,
    contrast: o.contrast,
  })
  return { text: textOf(found), json: found, exit: found.wrongSize === undefined ? 0 : 1 }
}

function textOf(r: DistanceResult): string {
  const line = (name: string, w: DistanceResult['together']) =>
    'value' in w
      ? [`  ${name}`, lengthWords(w.value), evidenceText(w.evidence)]
      : [`  ${name}`, 'cannot tell', w.cannotTell]
  const ways = [
    ['way', 'distance', 'from'],
    ...Object.entries(r.ways).map(([name, w]) => line(name, w)),
    line('together', r.together),
    ...(r.documentM === undefined ? [] : [['  document', `${r.documentM} m`, 'distanceM']]),
    ...r.known.map((w, i) => line(`known thing ${i + 1} itself`, w)),
  ]
  const own = r.table.some((t) => t.elementPx !== undefined)
  const sizes = [
    ['metres', 'px a metre', ...(own ? ['px of the element'] : [])],
    ...r.table.map((t) => [
      t.metres.toFixed(2),
      t.pixelsPerMetre.toFixed(1),
      ...(own ? [t.elementPx?.toFixed(1) ?? '–'] : []),
    ]),
  ]
  const head =
    r.foot === undefined
      ? `no foot: ${r.noFoot ?? 'none is told'}`
      : `foot at ${r.foot.map((v) => v.toFixed(1)).join(', ')}`
  const tilt = r.camera.tiltDeg === undefined ? 'taken as level' : `tilted by ${r.camera.tiltDeg.toFixed(1)}°`
  const notes = [
    ...(r.flatUntilM === undefined
      ? []
      : [`Beyond ${r.flatUntilM.toFixed(0)} m flat ground would be 5 % off; the earth's roundness is in.`]),
    ...(r.drawnM === undefined
      ? []
      : [`Its picture is drawn ${r.drawnM.toFixed(2)} m tall at that distance.`]),
    ...(r.wrongSize === undefined ? [] : [r.wrongSize.sentence, r.wrongSize.remedy]),
    ...r.warnings.map((w) => `Perspective: ${w}.`),
  ]
  return [
    `${r.element ?? 'place'}: ${head}; camera ${tilt}, focal length ${r.camera.focalPx.toFixed(0)} px`,
    table(ways),
    table(sizes),
    notes.join('\n'),
  ]
    .filter((p) => p !== '')
    .join('\n\n')
}
