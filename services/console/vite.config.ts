/** How the console is built: one page, its script and its style, in `dist`, from where services/api serves them. */
import { defineConfig } from 'vite';

export default defineConfig({
  root: import.meta.dirname,
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: 'dist',
    emptyOutDir: true,
    target: 'es2023',
    // Neither scripts nor pictures within the page: the content policy lets none run.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
});
