export { type Proportion, wilson } from './proportion.ts';
