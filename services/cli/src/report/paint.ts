/**
 * Ink of the report. Nothing depends on it: every meaning has its own characters. It is left out where the output is no
 * terminal, and where NO_COLOR asks for that.
 */
import { styleText } from 'node:util';

export interface Paint {
  /** Headings and sentences that must be seen first. */
  strong(text: string): string;
  /** Dates and what stands in the margin. */
  soft(text: string): string;
  /** Only what is proven missed. */
  missed(text: string): string;
}

export const plain: Paint = { strong: (text) => text, soft: (text) => text, missed: (text) => text };

/** The ink that a stream can show. */
export function paintFor(stream: NodeJS.WritableStream & { readonly isTTY?: boolean }): Paint {
  if (stream.isTTY !== true) return plain;
  const styled = (format: 'bold' | 'dim' | 'red') => (text: string) =>
    styleText(format, text, { stream, validateStream: true });
  return { strong: styled('bold'), soft: styled('dim'), missed: styled('red') };
}
