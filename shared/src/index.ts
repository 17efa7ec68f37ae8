export * from './atomic-file.ts';
export * from './companion-file.ts';
export * from './failure.ts';
export { ScratchFile } from './scratch-file.ts';
