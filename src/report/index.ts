/** Tells, pictures and numbers as one self-contained page. */
import type { Job } from '../engine/types.js'
import { realHands } from './footage.js'
import { readGrade } from './grade.js'
import type { ReportInput, ReportResult } from './types.js'
import { readViewTable } from './view.js'
import { buildReport } from './write.js'

export type { ReportInput, ReportResult } from './types.js'

/**
 * Writes the report on a rendered shot: one HTML file under 8 MB that opens from disk.
 *
 * @throws Problem `report.cannot-write`, `report.size-differs`, `report.frame-missing`, `report.view-unreadable`, `report.grade-unreadable`, `report.grade-which`, `colour.cdl-content`, `colour.cube-content`, and what opening files throws
 */
export async function writeReport(input: ReportInput, job: Job): Promise<ReportResult> {
  const { view, grade } = input
  const looks = {
    ...(view === undefined ? {} : { table: await readViewTable(view) }),
    ...(grade === undefined ? {} : { grade: await readGrade(grade.file, grade.id) }),
  }
  return buildReport(input, job, await realHands(input.shot, input.folder, looks))
}
