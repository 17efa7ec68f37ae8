export * from './window.ts';
