import { Problem } from '../../core/index.js'
import { editShot } from '../../engine/document.js'
import { clearTreatment, setTreatment } from '../../shot/index.js'
import type { Outcome } from '../outcome.js'
import { number } from '../values.js'

export interface SetOptions {
  readonly note?: string
  readonly clear?: true
  readonly form?: string
}

/** Sets a treatment by hand, or takes it out. */
export async function set(
  path: string,
  element: string,
  treatment: string,
  values: readonly string[],
  options: SetOptions,
): Promise<Outcome> {
  if (options.clear && values.length > 0) {
    throw new Problem({ code: 'cli.value', what: '--clear takes no values', received: values.join(' ') })
  }
  const value = values.map(number)
  await editShot(path, (shot) =>
    options.clear
      ? clearTreatment(shot, element, treatment)
      : setTreatment(shot, element, treatment, value, options),
  )
  return {
    text: options.clear
      ? `${element} ${treatment}: left to the next fit`
      : `${element} ${treatment}: ${value.join(' ')}${options.form === undefined ? '' : ` (${options.form})`}, set`,
    json: { shot: path, element, treatment, value: options.clear ? null : value, form: options.form },
  }
}
