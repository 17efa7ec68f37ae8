/** The progress bar on standard error, drawn only where that is a terminal. It is gone when the work is done. */

import { printable, whole } from '@gearhold/look';
import { SingleBar } from 'cli-progress';

export interface Progress {
  /** Bytes read from the disk since the last call. */
  bytes(count: number): void;
  /** Rows read so far. */
  rows(count: number): void;
  file(name: string): void;
  stop(): void;
}

export interface TerminalStream extends NodeJS.WritableStream {
  readonly isTTY?: boolean;
}

const silent: Progress = { bytes: () => {}, rows: () => {}, file: () => {}, stop: () => {} };

/** `totalBytes` is null where it is not known, as of standard input: then there is a count and no bar. */
export function showProgress(stream: TerminalStream, totalBytes: number | null): Progress {
  if (stream.isTTY !== true) return silent;
  let done = 0;
  const shown = { rowCount: '0', name: '' };
  const bar = new SingleBar({
    format: totalBytes === null ? '{rowCount} rows  {name}' : '{bar} {percentage} %  {rowCount} rows  {name}',
    stream,
    barCompleteChar: '█',
    barIncompleteChar: '┄',
    barsize: 28,
    clearOnComplete: true,
    hideCursor: false,
    fps: 5,
  });
  bar.start(totalBytes ?? 1, 0, shown);
  return {
    bytes: (count) => {
      done += count;
      bar.update(totalBytes === null ? 0 : Math.min(done, totalBytes), shown);
    },
    rows: (rows) => {
      shown.rowCount = whole(rows);
    },
    file: (name) => {
      shown.name = printable(name, 30);
    },
    stop: () => bar.stop(),
  };
}
