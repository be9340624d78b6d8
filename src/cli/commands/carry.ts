import { type CarryOptions, carryShape, THIN_PX } from '../../engine/carry/carry.js'
import type { Job } from '../../engine/types.js'
import type { Outcome } from '../outcome.js'
import { counted } from '../table.js'

/** Carries a shape; exit 1 when it stopped before the end. */
export async function carry(path: string, shape: string, o: CarryOptions, job: Job): Promise<Outcome> {
  const done = await carryShape(path, shape, o, job)
  const { drawn, reached, keys, stopped, unsure } = done
  const worst = reached.reduce((a, b) => (b.spreadPx > a.spreadPx ? b : a), { frame: 0, spreadPx: 0 })
  const lines = [
    `${shape}: carried to ${counted(reached.length, 'frame')} from ${counted(drawn.length, 'key')} drawn by hand (${drawn.join(', ')})`,
    ...(reached.length === 0
      ? []
      : [`  known to ${worst.spreadPx.toFixed(2)} px or better, worst on ${worst.frame}`]),
    ...(keys === 0
      ? []
      : [
          `  ${counted(keys, 'key')} written; between them it goes straight and is nowhere more than ${THIN_PX} px from where it was carried`,
        ]),
    ...stopped.map((s) => `  from ${s.from} it stops before ${s.at}: ${s.why}`),
    ...unsure.map(({ frames: [from, to], draw }) => {
      const run = from === to ? `frame ${from} is` : `frames ${from} to ${to} are`
      const between = drawn.some((d) => d <= from) && drawn.some((d) => d >= to)
      const what = between
        ? 'it goes straight there'
        : 'it stands still there, and hides unless its frames say otherwise'
      return `  ${run} not carried: ${what}; draw it by hand on ${draw}`
    }),
  ]
  return {
    text: lines.join('\n'),
    json: { shot: path, ...done },
    exit: stopped.length > 0 ? 1 : 0,
  }
}
