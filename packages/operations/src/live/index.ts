export { LiveLoop, type LiveOptions, type Round } from './loop.ts';
