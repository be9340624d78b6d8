export { refusedFinding } from './container.js'
export { type DiagnoseOptions, diagnoseFile, type FileDiagnosis } from './diagnose.js'
export type { Finding, Suggestion } from './finding.js'
export { type Fix, fixShot } from './fix.js'
