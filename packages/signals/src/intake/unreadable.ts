/** The one error of reading: an input that could not be read to its end. What came before it has been delivered. */

export type UnreadableCode =
  | 'gzip'
  | 'encoding'
  | 'binary'
  | 'empty'
  | 'header'
  | 'duplicate-column'
  | 'not-an-array'
  | 'cut-off'
  | 'system';

/** `message` is a sentence for a person: which file, what was wrong, what to do. */
export class InputUnreadableError extends Error {
  override readonly name = 'InputUnreadableError';
  readonly code: UnreadableCode;
  readonly fileName: string;

  constructor(code: UnreadableCode, fileName: string, sentence: string, cause?: unknown) {
    super(`${fileName}: ${sentence}`, cause === undefined ? undefined : { cause });
    this.code = code;
    this.fileName = fileName;
  }
}
