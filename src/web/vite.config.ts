/** The page, bundled into `dist/run/web`: nothing comes from elsewhere when it runs, and its libraries' licences go with it. */
import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vite'

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url))

export default defineConfig({
  root: here('.'),
  publicDir: false,
  logLevel: 'warn',
  build: {
    outDir: here('../../dist/run/web'),
    emptyOutDir: true,
    license: { fileName: 'LICENCES.md' },
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 1000,
  },
})
