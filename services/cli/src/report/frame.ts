/** What every page for people has in common: its width, its ink, its head, and the cautions at its foot. */
import { asciiPage, cautions, heavyRule, namesOf, type Page, spread, unicodePage, wrap } from '@gearhold/look';
import { type Paint, paintFor } from './paint.ts';

export interface Frame {
  /** Columns of the page. */
  readonly width: number;
  readonly ascii: boolean;
  readonly paint: Paint;
  /** Names of the input files. */
  readonly files: readonly string[];
}

/** Columns of the page where the output is no terminal, and the widest and narrowest that are used. */
const usualWidth = 80;
const widest = 100;
const narrowest = 64;

/** The frame of a page on a stream, of files as they stand on the command line. */
export function frameFor(
  stream: NodeJS.WritableStream & { readonly columns?: number; readonly isTTY?: boolean },
  ascii: boolean,
  files: readonly string[],
): Frame {
  return {
    width: Math.min(widest, Math.max(narrowest, stream.columns ?? usualWidth)),
    ascii,
    paint: paintFor(stream),
    files: files.map((file) => (file === '-' ? 'standard input' : file)),
  };
}

export function pageOf({ width, ascii, paint }: Frame): Page {
  return { width, ink: ascii ? asciiPage : unicodePage, soft: paint.soft };
}

/** The title on the left, the files on the right, a heavy rule. */
export function headLines(title: string, frame: Frame): string[] {
  const { width, files, paint } = frame;
  const [first = '', second] = spread(title, namesOf(files, 2), width);
  return [paint.strong(first), ...(second === undefined ? [] : wrap(second, width)), heavyRule(pageOf(frame))];
}

/** A heavy rule, what is to be kept in mind on this page, and the cautions. */
export function footLines(frame: Frame, ...sentences: readonly string[]): string[] {
  return [heavyRule(pageOf(frame)), ...wrap([...sentences, cautions].join(' '), frame.width)];
}
