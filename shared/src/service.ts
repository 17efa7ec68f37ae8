/** What only long-running and unattended programs need: loaded apart, so that a short command starts fast. */
export * from './clock.ts';
export * from './configuration.ts';
export * from './logger.ts';
