import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    include: ['src/**/*.test.ts', 'test/**/*.test.ts'],
    globalSetup: 'test/cacheFolder.ts',
    testTimeout: 120_000,
    hookTimeout: 120_000,
    // Pages and servers wait for a busy machine.
    expect: { poll: { timeout: 30_000 } },
    pool: 'forks',
    // One process loads the modules once for all its files: they keep no state of a test.
    isolate: false,
    maxWorkers: 2,
  },
})
