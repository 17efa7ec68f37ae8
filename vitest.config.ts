import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['{packages,services,schemas,fixtures,tests}/**/*.test.ts'],
    testTimeout: 60_000,
  },
});
