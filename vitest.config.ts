import { defineConfig } from 'vitest/config';

const everywhere = '{packages,services,schemas,shared,fixtures,tests}/**/*.test.ts';
const store = 'tests/store/**/*.test.ts';
const patience = {
  testTimeout: 60_000,
  // An embedded database takes seconds to start, more on a busy machine.
  hookTimeout: 120_000,
};

export default defineConfig({
  test: {
    projects: [
      { test: { ...patience, name: 'rooms', include: [everywhere], exclude: [store, '**/node_modules/**'] } },
      { test: { ...patience, name: 'store', include: [store], globalSetup: 'tests/store/servers.ts' } },
    ],
  },
});
