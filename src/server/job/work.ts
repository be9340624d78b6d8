/** What a job does: the same calls as the command line's. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { checkShot } from '../../engine/check.js'
import { editShot, loadShot } from '../../engine/document.js'
import { fitShot } from '../../engine/fit.js'
import { renderShot } from '../../engine/render.js'
import type { Job } from '../../engine/types.js'
import { writeReport } from '../../report/index.js'
import { mergeFit } from '../../shot/index.js'
import { type Fitted, fittedBy } from '../fitted.js'
import { pictureRevisionOf } from '../revision.js'
import { lookAtFiles } from './look.js'
import type { Answers, Checked, Rendered, Task } from './task.js'

type Of<K extends Task['kind']> = Extract<Task, { kind: K }>

export async function work(task: Task, job: Job): Promise<Answers[keyof Answers]> {
  switch (task.kind) {
    case 'fit':
      return fitAndMerge(task, job)
    case 'render':
      return render(task, job)
    case 'check':
      return check(task, job)
    case 'report':
      return report(task, job)
    case 'diagnose':
      return lookAtFiles(task.document, task.targets, task.fix, job)
  }
}

async function fitAndMerge({ document, files }: Of<'fit'>, job: Job): Promise<Fitted> {
  const { shot, folder } = await loadShot(document)
  const { shot: fitted } = await fitShot(shot, folder, job)
  job.signal?.throwIfAborted()
  const merged = await editShot(document, (now) => mergeFit(now, fitted))
  return fittedBy(shot, files, merged)
}

async function render({ document, files, out, format }: Of<'render'>, job: Job): Promise<Rendered> {
  const { shot, folder } = await loadShot(document)
  await renderShot(shot, folder, { out, format }, job)
  return { picture: pictureRevisionOf(shot, files), out }
}

async function check({ document, files, rendered }: Of<'check'>, job: Job): Promise<Checked> {
  const { shot, folder } = await loadShot(document)
  return { picture: pictureRevisionOf(shot, files), result: await checkShot(shot, folder, rendered, job) }
}

/** Checks, and writes the page; the few plain frames that it shows are rendered for it. */
async function report({ document, files, rendered, out }: Of<'report'>, job: Job): Promise<Checked> {
  const { shot, folder } = await loadShot(document)
  const result = await checkShot(shot, folder, rendered, job)
  const scratch = await mkdtemp(join(tmpdir(), 'platefit-report-'))
  try {
    const renderPlain = async (frames: { readonly first: number; readonly count: number }) => {
      const plain = join(scratch, `plain-${frames.first}.####.exr`)
      await renderShot(shot, folder, { out: plain, format: 'exr-half', variant: 'plain', frames }, job)
      return plain
    }
    await writeReport({ shot, folder, check: result, rendered, out, renderPlain }, job)
    return { picture: pictureRevisionOf(shot, files), result }
  } finally {
    await rm(scratch, { recursive: true, force: true })
  }
}
