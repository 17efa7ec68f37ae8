/**
 * A page of ruled lines: a margin for dates and counts, a rule, and the text beside it. Pure; lengths are in columns of a
 * terminal, a character a column.
 */

export interface Page {
  /** Columns of the whole page. */
  readonly width: number;
  readonly ink: PageInk;
  /** Ink of the margin. */
  soft(text: string): string;
}

export interface PageInk {
  readonly heavy: string;
  readonly light: string;
  readonly upright: string;
}

export const unicodePage: PageInk = { heavy: '━', light: '─', upright: '│' };
export const asciiPage: PageInk = { heavy: '=', light: '-', upright: '|' };

const marginWidth = 13;

/** Columns left for the text of an entry. */
export function bodyWidth(page: Page): number {
  return Math.max(24, page.width - marginWidth - 3);
}

export function heavyRule(page: Page): string {
  return page.ink.heavy.repeat(page.width);
}

export function lightRule(page: Page): string {
  return page.ink.light.repeat(page.width);
}

/** Margin lines on the left, body lines beside them. A margin text that is too long is cut. */
export function entry(page: Page, margin: readonly string[], body: readonly string[]): string[] {
  const lines: string[] = [];
  for (let i = 0; i < Math.max(margin.length, body.length); i++) {
    const left = cut(margin[i] ?? '', marginWidth).padEnd(marginWidth);
    lines.push(`${page.soft(`${left} ${page.ink.upright}`)} ${body[i] ?? ''}`.trimEnd());
  }
  return lines;
}

/** Left and right on one line; the right side is dropped to the next line where both do not fit. */
export function spread(left: string, right: string, width: number): string[] {
  const gap = width - left.length - right.length;
  return gap >= 2 ? [`${left}${' '.repeat(gap)}${right}`] : [left, right];
}

/** Words of a text in lines of at most `width`; a longer word is broken. A no-break space binds, and comes out plain. */
export function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (let word of text.split(/ +/)) {
    while (word !== '') {
      const room = line === '' ? width : width - line.length - 1;
      if (word.length <= room) {
        line = line === '' ? word : `${line} ${word}`;
        word = '';
      } else if (line !== '') {
        lines.push(line);
        line = '';
      } else {
        lines.push(word.slice(0, width));
        word = word.slice(width);
      }
    }
  }
  if (line !== '') lines.push(line);
  return lines.map((text) => text.replaceAll('\u00a0', ' '));
}

/** A table: the first column left, the others right, two spaces between. */
export function table(rows: readonly (readonly string[])[]): string[] {
  const widths = rows[0]!.map((_, column) => Math.max(...rows.map((row) => row[column]!.length)));
  return rows.map((row) =>
    row
      .map((cell, column) => (column === 0 ? cell.padEnd(widths[0]!) : cell.padStart(widths[column]!)))
      .join('  ')
      .trimEnd(),
  );
}

function cut(text: string, width: number): string {
  return text.length <= width ? text : `${text.slice(0, width - 1)}.`;
}
