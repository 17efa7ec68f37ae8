export { type Pairing, pairInTime } from './pairing.ts';
export { type Proportion, wilson } from './proportion.ts';
