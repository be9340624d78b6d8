/** `BENCHMARKS.md`: what was asked and measured, on what machine, and how to read it. */
import { writeFile } from 'node:fs/promises'
import { type AnyRow, verdicts } from './limits.js'
import { machine } from './machine.js'

const HEAD = `# Benchmarks

Written by \`npm run bench -- --write\`; figures are those of one run on one machine, named below.

## How to read it

Everything that is compared ran in one process, turn by turn, so that a noisy machine was noisy for both; the first turn warms
up and does not count. Times are medians, in ms: of a kernel for one 1920×1080 picture of floats, of a render for one frame. A
ratio is the median of the turns' own ratios, \`cpu_ratio\` the same of processor time over all threads: it hardly moves when
other programs run.

- **Kernels** (\`scalar\`, \`opencv-js\`), one thread each: how many times *faster* ours is. \`scalar\` is the plain twin in
  TypeScript that says what is right; \`opencv-js\` is OpenCV in WebAssembly, on floats in the layout that it likes best.
- **threads**: how many times faster two threads are than one, for the pixel work of a whole-frame render without codecs; there
  twice the \`cpu_ratio\` is what two idle cores would give.
- **preview**: one frame at a working size whose files are in memory, after the element was moved, on two threads; how many times
  faster it is than the same frame at its full size on one.
- **Renders**: how many times *longer* ours takes; below 1 it is faster. Plate and delivery are ProRes 422 HQ, the element is
  ProRes 4444 with alpha over a quarter of the frame or over all of it: match, haze, lens, disc of radius 6, grain.
  - \`codec-floor\`: the same files decoded and the plate encoded again as the decoder left it: decoders and encoder in the
    codec library's own memory, at once, with as many threads as they like. Nothing that writes this file can be faster.
  - \`ffmpeg-graph\`: the nearest equal job in that library's own filters ([the graph](test/bench/codecs/graph.txt), with what
    was made easier for it), same files, same codecs, decoders, filters and encoder at once, threads free.
  Clips have 120 frames, 2160p ones 48, those of \`bench:quick\` 30: the shorter, the more the start of the threads weighs.
- **memory** (\`--memory\`): the most memory that a process ever held which rendered a clip, in MiB, beside that of a short clip.
`

/** Replaces the file. `command`: how the run was started. */
export async function writeReport(path: string, rows: readonly AnyRow[], command: string): Promise<void> {
  const facts = Object.entries({ ...(await machine()), command })
  const text = [
    HEAD,
    '## The machine',
    '',
    table(['what', ''], facts),
    '',
    '## What is asked',
    '',
    table(
      ['row', 'against', 'figure', 'asked', 'measured', 'met'],
      verdicts(rows).map((v) => [
        v.name,
        v.other,
        v.figure,
        v.asked,
        String(v.measured),
        v.met ? 'yes' : 'no',
      ]),
    ),
    '',
    '## All rows',
    '',
    ...[rows.filter((r) => 'ours_ms' in r), rows.filter((r) => 'ours_mib' in r)].flatMap(tableOf),
  ]
  await writeFile(path, text.join('\n'))
}

function tableOf(rows: readonly AnyRow[]): string[] {
  const [first] = rows
  if (first === undefined) return []
  const cells = rows.map((row) => Object.values(row).map(String))
  return [table(Object.keys(first), cells), '']
}

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.join(' | ')} |`
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n')
}
