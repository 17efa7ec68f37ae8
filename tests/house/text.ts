/** What stands in the files: their length, marks that work was left unfinished, and the source behind published numbers. */
import type { SourceFile } from './tree.ts';

const longest = 500;

// The brackets keep this file from finding itself.
const marks = /\b(T[O]DO|F[I]XME|X[X]X)\b|\.(on[l]y|sk[i]p)\(/;

/** A file holds one idea; one that needs more than 500 lines holds several. */
export function fileLength(files: readonly SourceFile[]): string[] {
  return files
    .map((file) => ({ path: file.path, lines: file.text.split('\n').length - 1 }))
    .filter(({ lines }) => lines > longest)
    .map(({ path, lines }) => `${path}: ${lines} lines, at most ${longest}; split it by idea`);
}

/** Marks of unfinished work, and tests that run alone or not at all. */
export function leftoverMarks(files: readonly SourceFile[]): string[] {
  return files.flatMap((file) =>
    file.text.split('\n').flatMap((line, i) => {
      const mark = marks.exec(line)?.[0];
      return mark === undefined ? [] : [`${file.path}:${i + 1}: '${mark}' was left over; finish it or remove it`];
    }),
  );
}

/** Tests of published numbers say in their opening comment whose numbers they are. */
export function publishedSources(files: readonly SourceFile[]): string[] {
  return files
    .filter((file) => /^tests\/published\/.*\.test\.ts$/.test(file.path))
    .filter((file) => !/^\/\*\*.*?\bSources?: .*?\*\//s.test(file.text))
    .map((file) => `${file.path}: names no source; open it with a comment that says 'Source: ...'`);
}

/** Every data file of the published checks has its source in the README beside it. */
export function dataSources(paths: readonly string[], readme: string): string[] {
  return paths
    .filter((path) => path.startsWith('tests/published/data/') && !path.endsWith('README.md'))
    .filter((path) => !readme.includes(`\`${path.slice('tests/published/data/'.length)}\``))
    .map((path) => `${path}: has no entry in tests/published/data/README.md; add one with its source`);
}
