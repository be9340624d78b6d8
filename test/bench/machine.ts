/** What a run was measured on. */
import { readFile } from 'node:fs/promises'
import { cpus, totalmem } from 'node:os'
import { release } from 'node:process'

/** By word: processor, cores, memory, system, Node and the packages that do the measured work. */
export async function machine(): Promise<Readonly<Record<string, string>>> {
  const lock = JSON.parse(await readFile('package-lock.json', 'utf8')) as {
    readonly packages: Readonly<Record<string, { readonly version: string }>>
  }
  const version = (name: string) => `${name} ${lock.packages[`node_modules/${name}`]?.version ?? '?'}`
  const all = cpus()
  return {
    date: new Date().toISOString().slice(0, 10),
    processor: all[0]?.model.trim() || 'unknown',
    cores: String(all.length),
    memory: `${Math.round(totalmem() / 2 ** 30)} GiB`,
    system: `${process.platform} ${process.arch}`,
    node: `${release.name} ${process.versions.node}`,
    packages: ['node-av', 'assemblyscript', '@techstark/opencv-js'].map(version).join(', '),
  }
}
