import { spawnSync } from 'node:child_process'

/** Debian's python3-pyopencolorio belongs to the system's Python, not to one found first on the path. */
const PYTHON = '/usr/bin/python3'

const HEAD = `
import json, sys
import PyOpenColorIO as O
job = json.load(sys.stdin)
def run(transform, points):
    cpu = O.Config.CreateRaw().getProcessor(transform).getDefaultCPUProcessor()
    return [cpu.applyRGB(p) for p in points]
`

/** OpenColorIO's version, or undefined where its Python binding is not installed. */
export const openColourIo: string | undefined = (() => {
  const { status, stdout } = spawnSync(PYTHON, ['-c', 'import PyOpenColorIO as O; print(O.__version__)'])
  return status === 0 ? stdout.toString().trim() : undefined
})()

/** Why tests that need it are skipped. */
export const noOpenColourIo = 'needs python3-pyopencolorio'

/** Runs Python lines over a job; they find it as `job`, and print their answer as JSON. */
export function askOpenColourIo<T>(lines: string, job: unknown): T {
  const { status, stdout, stderr } = spawnSync(PYTHON, ['-c', HEAD + lines], { input: JSON.stringify(job) })
  if (status !== 0) throw new Error(stderr.toString())
  return JSON.parse(stdout.toString()) as T
}
