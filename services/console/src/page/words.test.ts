/** What the console calls things against the vocabulary of the house. */
import { termOf } from '@gearhold/look';
import { outcomes } from '@gearhold/policy';
import { caseStates, reviewActions } from '@gearhold/schemas/api';
import { expect, it } from 'vitest';
import { actionWords, checkName, outcomeWords, stateWords } from './names.ts';

it('has a word for every state, action and outcome that the service knows', () => {
  expect(Object.keys(stateWords).sort()).toEqual([...caseStates].sort());
  expect(Object.keys(actionWords).sort()).toEqual([...reviewActions].sort());
  expect(Object.keys(outcomeWords).sort()).toEqual([...outcomes].sort());
});

it('shows outcomes, columns and decisions by words that the glossary explains', () => {
  for (const word of [...Object.values(outcomeWords), ...glossed]) expect(termOf(word), word).not.toBeNull();
});

it('writes a check as words', () => {
  expect([checkName('gear-hold-pause'), checkName('contact-speed')]).toEqual(['Gear-hold pause', 'Contact speed']);
});

/** Labels of fields, headings and buttons that carry a meaning of ours. */
const glossed = [
  'Morning list',
  'Could not be judged',
  'State',
  'Site',
  'Concern',
  'Urgency',
  'Check',
  'Truck',
  'Driver',
  'Terminal',
  'Trucks',
  'Yards',
  'Drivers',
  'Policy',
  'Arrivals',
  'People',
  'Digests',
  'Share missed',
  'What was seen',
  'Signals',
  'Levels',
  'Checks',
  'Confirm',
  'Dismiss',
  'Hand to yard',
  'Hand to shop',
  'Take it',
  'Note',
  'Close',
  'Undo',
  'What was decided',
];
