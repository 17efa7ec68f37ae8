import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['{packages,services,schemas,shared,fixtures,tests}/**/*.test.ts'],
    testTimeout: 60_000,
  },
});
