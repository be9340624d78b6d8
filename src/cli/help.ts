import { elementParams, plateParams } from '../chain/params.js'
import type { Param } from '../core/index.js'
import { documentUnit, table } from './table.js'

/** All treatments with unit, range and meaning, from their own declarations. */
export function treatmentHelp(): string {
  return [
    `Treatments of an element:\n${list(elementParams)}`,
    `Treatments of the plate:\n${list(plateParams)}`,
  ].join('\n\n')
}

function list(params: readonly Param[]): string {
  return table(
    params.flatMap((p) => [
      [`  ${p.name}`, values(p), `${p.min} to ${p.max}`, p.meaning],
      ...(p.forms ?? []).map((f) => ['', `${f.count}`, `--form ${f.name}`, f.meaning]),
    ]),
  )
}

function values(p: Param): string {
  const many = p.count === 1 ? '1 number' : p.count === 0 ? listed(p) : `${p.count} numbers`
  return p.unit === '–' ? many : `${many}, ${documentUnit(p.unit)}`
}

function listed({ holds }: Param): string {
  if (holds === undefined) return 'numbers'
  return typeof holds === 'number' ? `${holds} numbers` : `${holds.times} × ${holds.of}`
}
