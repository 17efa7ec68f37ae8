/** What the store throws, as a problem. Its sentences hold no secret, but tell of the inside: they go to the log. */
import { StoreError } from '@gearhold/store';
import { ProblemError } from '../problems/problem.ts';
import type { ProblemOf } from '../server/answer-problems.ts';

export const storeProblem: ProblemOf = (error) => {
  if (!(error instanceof StoreError) || error.code !== 'unreachable') return null;
  return new ProblemError('store-unreachable', undefined, { retryAfterSeconds: 5, cause: error });
};
