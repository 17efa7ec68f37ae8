import { expect, it } from 'vitest';
import { LevelMemory } from './level-memory.ts';

const near = 18;

it('believes the level for which most transfers speak, not the one read while springs were still filling', () => {
  const memory = new LevelMemory();
  memory.learn(98, 170, near);
  memory.learnLeft(97, 170, near);
  memory.learn(60, 180, near);
  expect([97, 98]).toContain(memory.bobtail);
});

it('believes a new sensor after a few transfers', () => {
  const memory = new LevelMemory();
  for (let i = 0; i < 9; i++) memory.learn(60, 180, near);
  let transfers = 0;
  while (memory.bobtail !== 110 && transfers < 20) {
    memory.learn(110, 230, near);
    transfers += 1;
  }
  expect(transfers).toBeGreaterThan(1);
  expect(transfers).toBeLessThanOrEqual(4);
});

it('lets two refused transfers outweigh one that was read wrong, and not one', () => {
  const memory = new LevelMemory();
  memory.learn(60, 180, near);
  memory.doubt(99, near);
  expect(memory.bobtail).toBe(60);
  memory.doubt(100, near);
  memory.doubt(99, near);
  expect(memory.bobtail).toBeCloseTo(99, 0);
});

it('keeps what the fleet states until a transfer that is certain says otherwise', () => {
  const memory = new LevelMemory({ bobtailKpa: 55 });
  expect(memory.known()).toEqual({ bobtail: 55, empty: null, loaded: null });
  memory.learnLeft(80, 200, near);
  expect(memory.bobtail).toBe(55);
  memory.learn(82, 200, near);
  expect(memory.bobtail).toBe(82);
});

it('tells empty and full apart only where two clearly different loads were seen', () => {
  const memory = new LevelMemory();
  memory.learn(60, 160, near);
  memory.learn(60, 165, near);
  expect(memory.known()).toEqual({ bobtail: 60, empty: null, loaded: null });
  memory.learn(60, 420, near);
  expect(memory.known()).toMatchObject({ loaded: 420 });
  expect(memory.known().empty).toBeCloseTo(165, 0);
});
