/** Rooms import only downwards (ARCHITECTURE.md). Tests may import anything. */
const ROOMS = ['core', 'colour', 'kernels', 'chain', 'timing', 'plan', 'shot', 'vision', 'media', 'engine', 'report', 'server', 'cli']
/** Rooms on one level: none of them imports another. */
const LEVELS = [
  ['timing', 'plan', 'shot'],
  ['vision', 'media'],
]
const TEST = '\\.test\\.ts$'

const above = (room) => {
  const at = ROOMS.indexOf(room)
  const besides = LEVELS.filter((l) => l.includes(room)).flatMap((l) => l.filter((r) => r !== room))
  return [...new Set([...ROOMS.slice(at + 1), ...besides])]
}

const downwards = ROOMS.slice(0, -1).map((room) => ({
  name: `${room}-imports-only-downwards`,
  severity: 'error',
  from: { path: `^src/${room}/`, pathNot: TEST },
  to: { path: `^src/(${above(room).join('|')})/` },
}))

module.exports = {
  forbidden: [
    ...downwards,
    {
      name: 'links-never-import-each-other',
      comment: 'chain.ts and params.ts alone know all links.',
      severity: 'error',
      from: { path: '^src/chain/([^/]+)/', pathNot: TEST },
      to: { path: '^src/chain/[^/]+/', pathNot: '^src/chain/$1/' },
    },
    {
      name: 'only-media-knows-codecs',
      severity: 'error',
      from: { path: '^src/', pathNot: ['^src/media/', TEST] },
      to: { path: 'node_modules/node-av' },
    },
    {
      name: 'only-vision-knows-the-vision-library',
      severity: 'error',
      from: { path: '^src/', pathNot: ['^src/vision/', TEST] },
      to: { path: 'node_modules/@techstark' },
    },
    {
      name: 'no-maths-in-the-command-line',
      comment: 'Pixel work and colour belong to the rooms below.',
      severity: 'error',
      from: { path: '^src/cli/', pathNot: TEST },
      to: { path: '^src/(colour|kernels|vision|chain/[^/]+)/' },
    },
    {
      name: 'the-page-asks-the-server',
      comment: 'It runs in a browser: of the rooms it knows types, how numbers and evidence are written, the endings of files and the names of encodings.',
      severity: 'error',
      from: { path: '^src/web/', pathNot: TEST },
      to: {
        path: '^src/(?!web/)',
        pathNot: '^src/(report/(format|words|quantity)|server/endings|core/encoding)\\.ts$',
        dependencyTypesNot: ['type-only'],
      },
    },
    {
      name: 'nobody-imports-the-page',
      severity: 'error',
      from: { path: '^src/(?!web/)', pathNot: TEST },
      to: { path: '^src/web/' },
    },
    { name: 'no-cycles', severity: 'error', from: {}, to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } } },
    {
      name: 'sources-do-not-import-tests',
      severity: 'error',
      from: { path: '^src/', pathNot: TEST },
      to: { path: ['^test/', TEST] },
    },
    {
      name: 'worlds-share-no-code-with-their-subject',
      comment: 'An oracle that borrows from what it judges proves nothing.',
      severity: 'error',
      from: { path: '^test/worlds/(?!demo|main|score)' },
      to: { path: '^src/(chain|kernels)/' },
    },
    { name: 'resolvable', severity: 'error', from: {}, to: { couldNotResolve: true } },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    // AssemblyScript, which resolves in its own way.
    exclude: { path: '^src/kernels/(.*/simd|wasm/assembly)\\.ts$' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.base.json' },
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'require', 'node', 'default', 'types'] },
  },
}
