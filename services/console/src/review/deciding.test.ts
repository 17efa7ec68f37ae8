import { expect, it } from 'vitest';
import { doneSentence } from './deciding.ts';

it('says what was done, and to how many', () => {
  expect(doneSentence(1, { action: 'confirm' })).toBe('1 anomaly confirmed.');
  expect(doneSentence(3, { action: 'hand-to-shop' })).toBe('3 anomalies handed to the shop.');
  expect(doneSentence(1, { action: 'assign', assigneeId: null })).toBe('1 anomaly given back: it is with nobody now.');
});
