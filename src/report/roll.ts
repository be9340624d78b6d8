/** The files of one report, opened together and asked by the shot's own frame numbers. */
import { resolve } from 'node:path'
import { Problem } from '../core/index.js'
import type { Footage, Hands, Look, ReportInput, Role } from './types.js'

export interface Roll {
  /** Roles that are there, plate first. */
  readonly roles: readonly Role[]
  readonly frameCount: number
  footage(role: Role): Footage | undefined
  has(role: Role, frame: number): boolean
  /** The file's picture on this frame of the shot (0-based). */
  look(role: Role, frame: number): Promise<Look>
  /** Shows every picture from now on this many stops lighter. */
  expose(stops: number): void
  /** Adds the plain over of some frames. */
  addPlain(path: string, first: number, count: number): Promise<void>
  close(): Promise<void>
}

/** @throws Problem `report.size-differs` when the files are not of one size; whatever opening them throws. */
export async function openRoll(input: ReportInput, hands: Hands): Promise<Roll> {
  /** A role's file, or the parts of it that were made one by one. */
  const files = new Map<Role, { footage: Footage; offset: number; first: number; last: number }[]>()
  const add = async (
    role: Role,
    path: string,
    offset: number,
    first = 0,
    last = Number.POSITIVE_INFINITY,
  ) => {
    const part = { footage: await hands.open(role, path), offset, first, last }
    files.set(role, [...(files.get(role) ?? []), part])
  }
  const close = async () => {
    for (const part of [...files.values()].flat()) await part.footage.close()
  }
  try {
    await add('plate', resolve(input.folder, input.shot.plate.file), input.shot.plate.frames?.first ?? 0)
    await add('result', input.rendered, 0)
    if (input.plain !== undefined) await add('plain', input.plain, 0)
    if (input.truth !== undefined) await add('truth', input.truth, 0)
  } catch (error) {
    await close()
    throw error
  }
  const holding = (role: Role, frame: number) =>
    files.get(role)?.find((part) => frame >= part.first && frame <= part.last)
  let size: string | undefined
  let exposure = 0
  return {
    get roles() {
      return [...files.keys()]
    },
    get frameCount() {
      return files.get('result')?.[0]?.footage.frameCount ?? 0
    },
    footage: (role) => files.get(role)?.[0]?.footage,
    has: (role, frame) => holding(role, frame) !== undefined,
    async look(role, frame) {
      const file = holding(role, frame)
      if (file === undefined) {
        throw new Problem({ code: 'report.no-file', what: `The report has no ${role}`, exit: 3 })
      }
      const look = await file.footage.look(frame + file.offset)
      const got = `${look.width}×${look.height}`
      size ??= got
      if (got !== size) {
        throw new Problem({
          code: 'report.size-differs',
          what: `The ${role} is not of the plate's size`,
          where: file.footage.facts.name,
          expected: size,
          received: got,
          remedy: 'Render it from this shot document.',
        })
      }
      return exposed(look, exposure)
    },
    expose(stops) {
      exposure = stops
    },
    addPlain: (path, first, count) => add('plain', path, -first, first, first + count - 1),
    close,
  }
}

function exposed(look: Look, stops: number): Look {
  if (stops === 0) return look
  const view: Look['view'] = (region, push = {}) =>
    look.view(region, { ...push, stops: (push.stops ?? 0) + stops })
  return { width: look.width, height: look.height, view }
}
