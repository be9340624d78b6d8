/**
 * Where the program's own files lie: this one in `src/engine` under a test runner, in `dist/engine` compiled, in `dist/run/chunks` bundled
 * (`tools/program.config.mjs`).
 */
const HERE = import.meta.url

/** The folder of the rooms, or of what was made of them. */
export const PROGRAM = new URL('../', HERE)

/** Where threads, processes and the page are started from by name: none of them can load TypeScript. */
export const BUILT = HERE.endsWith('.ts') ? new URL('../../dist/run/', HERE) : PROGRAM
