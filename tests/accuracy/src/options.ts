/**
 * What `npm run accuracy` is asked for on the command line: every wrong argument gets a sentence that says what was wrong
 * and what was expected.
 */
import { parseArgs } from 'node:util';
import { setNames } from '@gearhold/fixtures';

export interface AskedSet {
  readonly name: string;
  /** Trucks, a day each. */
  readonly size: number;
}

export interface Options {
  readonly sets: readonly AskedSet[];
  /** Full seeds, each beginning with 'held-out' or 'tuning'. */
  readonly seeds: readonly string[];
  /** Findings listed a kind and set. */
  readonly list: number;
  readonly prove: boolean;
  /** File for the figures as JSON, or null. */
  readonly json: string | null;
}

export type Asked =
  | { readonly kind: 'run'; readonly options: Options }
  | { readonly kind: 'help'; readonly text: string }
  | { readonly kind: 'wrong'; readonly sentence: string };

const help = `How right the analysis is, by figures: runs it over labelled sets of simulated readings and compares it with the truth.

    npm run accuracy -- [options]

  --sets NAMES    sets, separated by commas, each with trucks of its own where it needs more or fewer, as in
                  clean-1hz,load-loss:900 (default: all)
  --seeds SEEDS   held-out, tuning, or full seeds that begin with one of them and end in a number, separated by commas
                  (default: held-out)
  --size N        trucks a set, a day each (default: 20)
  --prove         asks the enumerator what was provable; takes about as long again
  --list N        findings listed a kind and set (default: 5)
  --json FILE     writes all figures and findings there
  --help          prints this

Sets: ${setNames.join(', ')}
`;

const known = {
  sets: { type: 'string' },
  seeds: { type: 'string', default: 'held-out' },
  size: { type: 'string', default: '20' },
  json: { type: 'string' },
  list: { type: 'string', default: '5' },
  prove: { type: 'boolean', default: false },
  help: { type: 'boolean', default: false },
} as const;

/** Reads the arguments after the program's name. */
export function readOptions(argv: readonly string[]): Asked {
  const { values, tokens } = parseArgs({ args: [...argv], options: known, strict: false, tokens: true });
  for (const token of tokens) {
    if (token.kind === 'positional') return wrong(`'${token.value}' is no option`);
    if (token.kind !== 'option') continue;
    const option = known[token.name as keyof typeof known];
    if (option === undefined) return wrong(`there is no option ${token.rawName}`);
    if (option.type === 'boolean' && token.value !== undefined) return wrong(`${token.rawName} takes no value`);
    if (option.type === 'string' && (token.value === undefined || token.value.startsWith('--')))
      return wrong(`${token.rawName} needs a value`);
  }
  if (values.help === true) return { kind: 'help', text: help };

  const size = wholeFrom1(String(values.size));
  if (size === null) return wrong(`--size: '${values.size}' is no whole number of trucks from 1 up`);
  const sets: AskedSet[] = [];
  for (const asked of values.sets === undefined ? setNames : String(values.sets).split(',')) {
    const [name, own] = asked.split(':', 2) as [string, string | undefined];
    if (!setNames.includes(name)) return wrong(`--sets: there is no set '${name}'`);
    const trucks = own === undefined ? size : wholeFrom1(own);
    if (trucks === null) return wrong(`--sets: '${own}' of set ${name} is no whole number of trucks from 1 up`);
    sets.push({ name, size: trucks });
  }
  const seeds = String(values.seeds)
    .split(',')
    .map((seed) => (/-\d+$/.test(seed) ? seed : `${seed}-1`));
  const unknownSeed = seeds.find((seed) => !/^(held-out|tuning)-/.test(seed));
  if (unknownSeed !== undefined)
    return wrong(`--seeds: '${unknownSeed}' is neither held-out nor tuning, and begins with neither`);
  const list = Number(values.list);
  if (!Number.isInteger(list) || list < 0)
    return wrong(`--list: '${values.list}' is no whole number of lines from 0 up`);
  const json = values.json === undefined ? null : String(values.json);
  return { kind: 'run', options: { sets, seeds, list, prove: values.prove === true, json } };
}

function wholeFrom1(text: string): number | null {
  const number = Number(text);
  return Number.isInteger(number) && number >= 1 ? number : null;
}

function wrong(what: string): Asked {
  return { kind: 'wrong', sentence: `${what}; 'npm run accuracy -- --help' lists options and sets.` };
}
