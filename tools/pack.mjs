/** Before `npm pack`: compiles into an empty folder, so that nothing stale is shipped. */
import { rmSync } from 'node:fs'
import { join } from 'node:path'
import { build, root } from './setup.mjs'

rmSync(join(root, 'dist'), { recursive: true, force: true })
build()
