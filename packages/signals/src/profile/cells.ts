/** Cells of somebody else's file: tokens that mean not reported, codes, decimal commas, units. */
import { type SignalName, signalDefinition } from '../catalogue.ts';
import { parseDecimal } from '../cell/decimal.ts';
import { parseFlag } from '../cell/flag.ts';
import { type CellReader, notReported } from '../intake/mapping.ts';
import { convert, isUnitSymbol, type UnitSymbol } from '../units.ts';

export interface CellSpelling {
  /** Byte of the decimal mark. */
  readonly mark: number;
  readonly notReported: readonly string[];
  readonly unit: string | undefined;
  readonly codes: Readonly<Record<string, number>> | undefined;
}

export function cellReader(signal: SignalName, spelling: CellSpelling): CellReader {
  const { unit: own, type } = signalDefinition(signal);
  const words = new Map(Object.entries(spelling.codes ?? {}).map(([code, value]) => [code.trim(), value]));
  for (const token of spelling.notReported) words.set(token.trim(), notReported);
  const from = spelling.unit;
  const converts = from !== undefined && from !== own && isUnitSymbol(from) && isUnitSymbol(own);
  const toOwn = converts ? (value: number) => convert(value, from, own as UnitSymbol) : null;
  const parse = type === 'flag' ? parseFlag : parseDecimal;
  const { mark } = spelling;
  const maybeWord = new Uint8Array(256);
  // A cell that begins with a blank is looked up as well, without its blanks.
  for (const word of ['\t', ' ', ...words.keys()]) if (word !== '') maybeWord[Buffer.from(word)[0]!] = 1;
  return {
    fromBytes(bytes, start, end) {
      if (words.size > 0 && maybeWord[bytes[start]!] === 1) {
        const text = Buffer.from(bytes.buffer, bytes.byteOffset + start, end - start).toString('utf8');
        const meant = words.get(text.trim());
        if (meant !== undefined) return meant;
      }
      const value = parse(bytes, start, end, mark);
      return toOwn === null ? value : toOwn(value);
    },
    fromNumber(value) {
      const meant = words.size > 0 ? words.get(String(value)) : undefined;
      if (meant !== undefined) return meant;
      return toOwn === null ? value : toOwn(value);
    },
  };
}
