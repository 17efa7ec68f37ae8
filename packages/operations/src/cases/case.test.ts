import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CaseStep, caseOf, changedSince, type ReviewAction } from './case.ts';
import { judgedFingerprint } from './judged.ts';

function steps(...actions: (ReviewAction | [ReviewAction, string | number])[]): CaseStep[] {
  return actions.map((given, at) => {
    const [action, detail] = typeof given === 'string' ? [given, null] : given;
    return {
      reviewId: at + 1,
      action,
      assigneeId: action === 'assign' ? (detail as string) : null,
      undoes: action === 'undo' ? (detail as number) : null,
      judged: 'j',
    };
  });
}

describe('a case', () => {
  it('is open until somebody decides, and a note decides nothing', () => {
    expect(caseOf([]).state).toBe('open');
    expect(caseOf(steps('note'))).toMatchObject({ state: 'open', judged: null, undoable: 1 });
  });

  it('stands where the last decision put it', () => {
    expect(caseOf(steps('confirm', 'hand-to-shop')).state).toBe('with-shop');
    expect(caseOf(steps('hand-to-yard', ['assign', 'p7'], 'close'))).toMatchObject({
      state: 'closed',
      assigneeId: 'p7',
    });
  });

  it('goes back step by step', () => {
    const undone = steps('confirm', 'dismiss', ['undo', 2]);
    expect(caseOf(undone)).toMatchObject({ state: 'confirmed', undoable: 1 });
    expect(caseOf([...undone, ...steps(['undo', 1]).map((step) => ({ ...step, reviewId: 4 }))])).toMatchObject({
      state: 'open',
      judged: null,
      undoable: null,
    });
  });

  it('undone to its beginning is open, whatever happened', () => {
    const action = fc.constantFrom<ReviewAction>('confirm', 'dismiss', 'hand-to-yard', 'hand-to-shop', 'note', 'close');
    fc.assert(
      fc.property(fc.array(action, { maxLength: 12 }), (actions) => {
        const all = steps(...actions);
        for (let id = all.length + 1; ; id++) {
          const { undoable } = caseOf(all);
          if (undoable === null) break;
          all.push({ reviewId: id, action: 'undo', assigneeId: null, undoes: undoable, judged: 'j' });
        }
        expect(caseOf(all)).toEqual({ state: 'open', assigneeId: null, judged: null, undoable: null });
      }),
    );
  });
});

it('says when what was judged has changed, and only then', () => {
  const check = {
    outcome: 'missed',
    measured: { low: 3, high: 4, unit: 's' },
    limit: { b: 1, a: 2 },
    withdrawn: false,
  };
  const judged = judgedFingerprint(check);
  const known = caseOf([{ reviewId: 1, action: 'confirm', assigneeId: null, undoes: null, judged }]);
  expect(changedSince(known, judgedFingerprint({ ...check, limit: { a: 2, b: 1 } }))).toBe(false);
  expect(changedSince(known, judgedFingerprint({ ...check, outcome: 'undetermined' }))).toBe(true);
  expect(changedSince(known, judgedFingerprint({ ...check, measured: { low: 3, high: 5, unit: 's' } }))).toBe(true);
  expect(changedSince(known, judgedFingerprint({ ...check, withdrawn: true }))).toBe(true);
  expect(changedSince(caseOf([]), judged)).toBe(false);
});
