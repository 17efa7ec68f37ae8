import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['{packages,services,schemas,fixtures,tests,shared}/**/*.test.ts'],
    testTimeout: 60_000,
  },
});
