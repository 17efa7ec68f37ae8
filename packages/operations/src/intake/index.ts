export { type DriversInStore, driversOf } from './driver-setting.ts';
export { type DriverMode, driverModes } from './drivers-kept.ts';
export { type IngestedFile, type IngestFileOptions, ingestFile, sizeOnDisk } from './ingest-file.ts';
export { type Statements, storeStatements } from './statements.ts';
