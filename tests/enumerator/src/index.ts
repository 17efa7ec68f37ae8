export { enumerate } from './enumerate.ts';
export {
  type Bounds,
  builtInLimits,
  type Ground,
  type Known,
  type Limits,
  type Outcome,
  type Row,
  rowOf,
  type TrueAnchor,
} from './row.ts';
