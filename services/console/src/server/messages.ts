/** The messages of the public API as the console reads them: types only, from the same schemas that the service answers by. */
import type * as api from '@gearhold/schemas/api';
import type { z } from 'zod';

export type AdmittedPerson = z.output<typeof api.admittedPerson>;
export type Anomaly = z.output<typeof api.anomaly>;
export type Digest = z.output<typeof api.digest>;
export type Driver = z.output<typeof api.driver>;
export type Evidence = z.output<typeof api.evidence>;
export type InputFile = z.output<typeof api.inputFile>;
export type IssuedToken = z.output<typeof api.issuedToken>;
export type JudgedCheck = z.output<typeof api.judgedCheck>;
export type NewReview = z.input<typeof api.newReview>;
export type Person = z.output<typeof api.person>;
export type PolicyDifference = z.output<typeof api.policyDifference>;
export type Reject = z.output<typeof api.reject>;
export type Review = z.output<typeof api.review>;
export type ReviewResult = z.output<typeof api.reviewResult>;
export type Session = z.output<typeof api.session>;
export type Site = z.output<typeof api.site>['site'];
export type StoredEpisode = z.output<typeof api.storedEpisode>;
export type StoredPolicy = z.output<typeof api.storedPolicy>;
export type Token = z.output<typeof api.token>;
export type Vehicle = z.output<typeof api.vehicle>;

export interface Page<T> {
  readonly items: readonly T[];
  readonly nextCursor: string | null;
}
