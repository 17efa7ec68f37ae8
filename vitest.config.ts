import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['{packages,services,schemas,shared,fixtures,tests}/**/*.test.ts'],
    testTimeout: 60_000,
    // An embedded database takes seconds to start, more on a busy machine.
    hookTimeout: 120_000,
  },
});
