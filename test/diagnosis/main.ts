/** `npm run diagnosis [-- --json] [-- --only WORD] [-- --seed N]`: makes files with known faults and clean ones, diagnoses them, prints the table. */
import { setSeed } from './chance.js'
import { clean } from './clean.js'
import { faults } from './faults.js'
import { summaryOf, tableOf } from './print.js'
import { type Line, linesOf, scoreOf } from './score.js'

const args = process.argv.slice(2)
const json = args.includes('--json')
const after = (name: string) => {
  const at = args.indexOf(name)
  return at < 0 ? undefined : args[at + 1]
}
const only = after('--only') ?? ''
setSeed(Number(after('--seed') ?? 0))
const wanted = (name: string) => name.includes(only)
const tell = json ? () => {} : show
const faulty = await linesOf(
  faults.filter((c) => wanted(c.name)),
  tell,
)
const sound = await linesOf(
  clean.filter((c) => wanted(c.name)),
  tell,
)
const score = scoreOf(faulty, sound)
if (!json) console.log(`\n${tableOf(faulty)}\n\n${summaryOf(score)}`)
console.log(JSON.stringify(score))
const { files, right, wrong, wrongAndSure, falseAlarms, cleanFiles } = score
// The aims of the table: right in 85 %, wrong in 3 %, never wrong and sure, false alarms in 2 %.
const fine =
  right >= 0.85 * files && wrong <= 0.03 * files && wrongAndSure === 0 && falseAlarms <= 0.02 * cleanFiles
process.exitCode = fine ? 0 : 1

function show(line: Line): void {
  const sure = line.sure ? ' AND SURE' : ''
  console.log(
    `${line.name.padEnd(36)} ${line.mark}${sure}${line.mark === 'right' ? '' : `  ${line.said.join('; ')}`}`,
  )
}
