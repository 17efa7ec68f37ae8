export { type CompanionPaths, type Companions, readCompanions } from './companions.ts';
export { formatOfBytes, type InputFile, inputFiles } from './input-file.ts';
