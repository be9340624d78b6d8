/** What showing an element at another rate than its own does to it, frame by frame: each way has a flaw of its own, and says so. */
import { type Comparison, quiet } from '../chain/compare.js'
import { shownPictures } from '../chain/shutter/cadence/model.js'
import { Problem } from '../core/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { cadenceOf } from './cadence.js'
import { type Picture, shotRange } from './plan.js'
import { framesAFrame } from './settings.js'

export interface Conformed {
  readonly how: NonNullable<NonNullable<ShotElement['time']>['conform']>
  /** Frames of the shot on which its flaw can show. */
  readonly frames: readonly number[]
  /** `5 frames show the picture of the frame before again, 3 of its own are left out: it moves in uneven steps`. */
  readonly words: string
}

/** Undefined where each of its pictures shows on one frame. @param numbers frames of the shot, ascending */
export function conformedOf(
  e: ShotElement,
  picture: Picture,
  plate: Picture,
  shot: Shot,
  numbers: readonly number[],
): Conformed | undefined {
  if (e.flash !== undefined || picture.frameCount === 1 || framesAFrame(e, picture, plate) === 1)
    return undefined
  const how = e.time?.conform ?? 'nearest'
  const cadence = cadenceOf(e, picture, plate, shot)
  const shown = numbers.map((n) => shownPictures(cadence, n))
  if (e.time?.loop === undefined && (how === 'blend' || how === 'flow')) {
    const frames = numbers.filter((_, i) => shown[i]?.into !== undefined)
    return frames.length === 0 ? undefined : { how, frames, words: mixedWords(how, frames.length) }
  }
  const steps = numbers.map((_, i) => {
    const [before, now] = [shown[i - 1]?.frame, shown[i]?.frame]
    // A last picture that is held stands, and a round of a loop that begins again goes back.
    if (before === undefined || now === undefined || now === picture.frameCount - 1) return 1
    return now - before
  })
  const frames = numbers.filter((_, i) => steps[i] === 0 || (steps[i] as number) > 1)
  if (frames.length === 0) return undefined
  const again = steps.filter((s) => s === 0).length
  const left = steps.reduce((sum, s) => sum + Math.max(s - 1, 0), 0)
  const said = [
    ...(again > 0 ? [`${count(again)} the picture of the frame before again`] : []),
    ...(left > 0 ? [`${left} of its own pictures ${left === 1 ? 'is' : 'are'} left out`] : []),
  ]
  const even = steps.slice(1).every((s) => s === steps[1])
  const flaw = even ? 'its blur is too short for its steps' : 'what moves in it moves in uneven steps'
  return { how, frames, words: `${said.join(', ')}: ${flaw}` }
}

function mixedWords(how: 'blend' | 'flow', frames: number): string {
  return how === 'blend'
    ? `${count(frames)} two pictures at once: what moves in it is seen twice, and its grain is softer`
    : `${count(frames)} pictures made between two of its own along their flow: what comes out from behind something tears`
}

function count(frames: number): string {
  return frames === 1 ? '1 frame shows' : `${frames} frames show`
}

/** For the ledger: on how many frames, and what it does there. It is what was asked for, and no tell. */
export function conformComparison(
  e: ShotElement,
  { shot, plate, elements }: Pictures,
): Comparison | undefined {
  const picture = elements[e.id]
  const numbers = [...Array(shotRange(shot, plate.frameCount).count).keys()]
  const found = picture && conformedOf(e, picture, plate, shot, numbers)
  if (found === undefined) return undefined
  return {
    ...quiet({ conform: [found.frames.length] }),
    notes: { conform: `${found.how}: ${found.words}` },
  }
}

interface Pictures {
  readonly shot: Shot
  readonly plate: Picture
  readonly elements: Readonly<Record<string, Picture>>
}

/** The same for people, an element each. */
export function conformFindings({ shot, plate, elements }: Pictures, numbers: readonly number[]): Problem[] {
  return shot.elements.flatMap((e) => {
    const picture = elements[e.id]
    const found = picture && conformedOf(e, picture, plate, shot, numbers)
    if (picture === undefined || found === undefined) return []
    const fps = ({ rate }: Picture) => Number((rate.num / rate.den).toFixed(3))
    const speed = e.time?.speed ?? 1
    const rates = `${fps(picture)} frames a second${speed === 1 ? '' : `, ${speed} times as fast`}, in a plate of ${fps(plate)}`
    const some = found.frames.slice(0, 8).join(', ')
    return [
      new Problem({
        code: 'shutter.conform',
        what: `"${e.id}" has ${rates}; ${found.words}`,
        where: `elements.${e.id}.time.conform`,
        received: `${found.how}; ${found.frames.length} of ${numbers.length} frames: ${some}${found.frames.length > 8 ? ', …' : ''}`,
        remedy: REMEDY[found.how],
      }),
    ]
  })
}

const REMEDY: Readonly<Record<Conformed['how'], string>> = {
  nearest: '`blend` mixes two pictures, `flow` makes those between; or film it at the rate of the plate.',
  held: '`nearest` takes the picture nearest in time, `flow` makes those between; or film it at the rate of the plate.',
  blend: '`flow` makes the pictures between; or film it at the rate of the plate.',
  flow: '`nearest` and `held` show its own pictures alone; or film it at the rate of the plate.',
}
