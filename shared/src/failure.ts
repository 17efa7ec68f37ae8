/**
 * What a person can get wrong, or the world around a program, as one sentence and an exit status. Anything else that is thrown
 * is a fault of the program.
 */

/** Exit statuses of our programs: 0 to 3 as the analysis contract fixes them, 10 and 11 of what runs by itself at night. */
export const exitStatus = {
  done: 0,
  /** A fault of the program, or output that could not be written. */
  fault: 1,
  /** Unusable arguments, policy, vehicles, sites, profile or sheet file. */
  usage: 2,
  /** The input could not be read to its end, or no row of it was usable. */
  input: 3,
  /** Done, and somebody should look. */
  attention: 10,
  /** Nothing was done: another run holds the lock. */
  locked: 11,
} as const;

export type ExitStatus = (typeof exitStatus)[keyof typeof exitStatus];

/** Ends the command with a sentence (or several lines, one sentence each) and a status. */
export class Failure extends Error {
  readonly status: ExitStatus;

  constructor(status: ExitStatus, sentence: string) {
    super(sentence);
    this.name = 'Failure';
    this.status = status;
  }
}

/** The reason of a failed file operation in plain words, without a path: `there is no such file`. */
export function fileReason(error: unknown): string {
  const code = (error as NodeJS.ErrnoException).code ?? '';
  return reasons[code] ?? (code === '' ? 'it could not be used' : `the system answered ${code}`);
}

const reasons: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file or folder',
  EISDIR: 'it is a folder, not a file',
  ENOTDIR: 'a part of its path is a file, not a folder',
  EACCES: 'this user may not open it',
  EPERM: 'this user may not open it',
  ENOSPC: 'the disk is full',
  EDQUOT: 'the disk quota is used up',
  EROFS: 'the disk is read-only',
  EFBIG: 'the file would grow larger than the disk allows',
  EMFILE: 'too many files are open',
  EIO: 'the disk or the connection failed while it was used',
  ENAMETOOLONG: 'its name is too long',
  ELOOP: 'its links lead in a circle',
};
