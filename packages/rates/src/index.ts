export { type Bounds, countLimits, type Exposed, type RateRatio, rateRatio, shareLimits } from './counts.ts';
export { adjustedForNumber } from './false-discovery.ts';
export { type Pairing, pairInTime } from './pairing.ts';
export { type Proportion, wilson } from './proportion.ts';
export { type ChartedPoint, type ChartPoint, type ShareChart, shareChart } from './share-chart.ts';
export { fitSpread, type ShrunkRate, type Spread, shrunkRate } from './shrinkage.ts';
