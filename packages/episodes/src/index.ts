export * from './bounds/interval.ts';
export * from './cadence/cadence.ts';
export * from './episode.ts';
export * from './evidence.ts';
export * from './fleet.ts';
export { joinMoves, type Move, shortestStandMs } from './motion/moves.ts';
export { heldAt, type MotionColumns, metresOf, motionColumns } from './motion/runs.ts';
export * from './track/standing-values.ts';
export * from './vehicle.ts';
