import { setNames } from '@gearhold/fixtures';
import { describe, expect, it } from 'vitest';
import { readOptions } from './options.ts';

const optionsOf = (...argv: string[]) => {
  const asked = readOptions(argv);
  if (asked.kind !== 'run') throw new Error(`asked for ${asked.kind}`);
  return asked.options;
};
const sentenceOf = (...argv: string[]) => {
  const asked = readOptions(argv);
  return asked.kind === 'wrong' ? asked.sentence : asked.kind;
};

describe('the options of the accuracy report', () => {
  it('are every set, held-out seeds and 20 trucks where nothing is said', () => {
    expect(optionsOf()).toEqual({
      sets: setNames.map((name) => ({ name, size: 20 })),
      seeds: ['held-out-1'],
      list: 5,
      prove: false,
      json: null,
    });
  });

  it('take several sets and full seeds', () => {
    const options = optionsOf('--sets', '10hz,yard', '--seeds', 'tuning-7,held-out', '--size=3', '--prove');
    const sets = [
      { name: '10hz', size: 3 },
      { name: 'yard', size: 3 },
    ];
    expect(options).toMatchObject({ sets, seeds: ['tuning-7', 'held-out-1'], prove: true });
  });

  it('take trucks of its own for a set', () => {
    expect(optionsOf('--sets', '10hz,load-loss:900', '--size', '3').sets).toEqual([
      { name: '10hz', size: 3 },
      { name: 'load-loss', size: 900 },
    ]);
  });

  it('are printed on request, with every set', () => {
    const asked = readOptions(['--help']);
    expect(asked.kind).toBe('help');
    for (const name of setNames) expect(asked.kind === 'help' && asked.text).toContain(name);
  });

  it.each([
    [['--trucks', '3'], 'there is no option --trucks'],
    [['clean-1hz'], "'clean-1hz' is no option"],
    [['--sets'], '--sets needs a value'],
    [['--prove=yes'], '--prove takes no value'],
    [['--sets', 'nowhere'], "--sets: there is no set 'nowhere'"],
    [['--sets', 'yard:few'], "--sets: 'few' of set yard is no whole number of trucks from 1 up"],
    [['--seeds', 'mine-1'], "--seeds: 'mine-1' is neither held-out nor tuning, and begins with neither"],
    [['--size', 'many'], "--size: 'many' is no whole number of trucks from 1 up"],
    [['--list', '-1'], "--list: '-1' is no whole number of lines from 0 up"],
  ])('%j gets a sentence that says what to do', (argv, says) => {
    expect(sentenceOf(...argv)).toBe(`${says}; 'npm run accuracy -- --help' lists options and sets.`);
  });
});
