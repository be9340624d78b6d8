import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { Problem } from '../../core/index.js'
import { loadShot } from '../../engine/document.js'
import { checkShot, renderShot } from '../../engine/index.js'
import type { Job } from '../../engine/types.js'
import { writeReport } from '../../report/index.js'
import type { Outcome } from '../outcome.js'
import { counted } from '../table.js'

export interface ReportArguments {
  readonly out: string
  readonly plain?: string
  /** A `.cube` table to look through. */
  readonly view?: string
  /** A grading decision to look under. */
  readonly grade?: string
  readonly gradeId?: string
}

/** Checks a rendered file and writes the page about it; renders the few plain frames that the page shows. */
export async function report(path: string, rendered: string, o: ReportArguments, job: Job): Promise<Outcome> {
  if (o.gradeId !== undefined && o.grade === undefined) throw noGrade(o.gradeId)
  const { shot, folder } = await loadShot(path)
  const file = resolve(rendered)
  const check = await checkShot(shot, folder, file, job)
  const scratch = await mkdtemp(join(tmpdir(), 'platefit-report-'))
  try {
    const renderPlain = async (frames: { readonly first: number; readonly count: number }) => {
      const out = join(scratch, `plain-${frames.first}.####.exr`)
      await renderShot(shot, folder, { out, format: 'exr-half', variant: 'plain', frames }, job)
      return out
    }
    const plain = o.plain === undefined ? { renderPlain } : { plain: resolve(o.plain) }
    const view = o.view === undefined ? {} : { view: resolve(o.view) }
    const id = o.gradeId === undefined ? {} : { id: o.gradeId }
    const grade = o.grade === undefined ? {} : { grade: { file: resolve(o.grade), ...id } }
    const page = await writeReport(
      { shot, folder, check, rendered: file, out: resolve(o.out), ...plain, ...view, ...grade },
      job,
    )
    const open = check.tells.filter((t) => !t.meant).length
    return {
      text: `${o.out}: ${counted(open, 'tell')}, ${(page.bytes / 2 ** 20).toFixed(2)} MB`,
      json: { ...page, tells: check.tells, undecided: check.undecided },
    }
  } finally {
    await rm(scratch, { recursive: true, force: true })
  }
}

function noGrade(id: string): Problem {
  return new Problem({
    code: 'cli.value',
    what: 'A correction is named, but no file that it stands in',
    where: `--grade-id ${id}`,
    expected: '--grade with a .cc, .ccc or .cdl file',
    remedy: 'Give --grade too, or leave --grade-id out.',
  })
}
