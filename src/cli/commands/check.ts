import { resolve } from 'node:path'
import { Problem } from '../../core/index.js'
import { editShot, loadShot } from '../../engine/document.js'
import { checkShot } from '../../engine/index.js'
import type { CheckResult, Job, Tell } from '../../engine/types.js'
import { markMeant } from '../../shot/index.js'
import type { Outcome } from '../outcome.js'
import { tellsText } from '../tells.js'

export interface CheckArguments {
  readonly all?: true
  readonly meant?: readonly string[]
}

/** Lists the tells of a rendered file; exit 1 when one stands that is not meant. */
export async function check(path: string, rendered: string, o: CheckArguments, job: Job): Promise<Outcome> {
  const { shot, folder } = await loadShot(path)
  const found = await checkShot(shot, folder, resolve(rendered), job)
  const result = o.meant === undefined ? found : await mark(path, found, o.meant)
  const open = result.tells.some((t) => !t.meant)
  return { text: tellsText(result, o.all ?? false), json: result, exit: open ? 1 : 0 }
}

async function mark(path: string, found: CheckResult, names: readonly string[]): Promise<CheckResult> {
  const meant = names.map((name) => named(name, found.tells))
  await editShot(path, (shot) =>
    meant.reduce((s, { tell, element, measured }) => {
      return markMeant(s, { tell, measured, ...(element === undefined ? {} : { element }) })
    }, shot),
  )
  const tells = found.tells.map((t) => (meant.includes(t) ? { ...t, meant: true } : t))
  return { ...found, tells: [...tells.filter((t) => !t.meant), ...tells.filter((t) => t.meant)] }
}

/** `blacks:smoke` or `plate-changed` among the tells that were found. */
function named(name: string, tells: readonly Tell[]): Tell {
  const tell = tells.find((t) => nameOf(t) === name)
  if (tell !== undefined) return tell
  throw new Problem({
    code: 'cli.value',
    what: `No tell "${name}" was found that could be marked as meant`,
    where: '--meant',
    expected: tells.map(nameOf).join(', ') || 'nothing: there are no tells',
    received: name,
  })
}

function nameOf(t: Tell): string {
  return t.element === undefined ? t.tell : `${t.tell}:${t.element}`
}
