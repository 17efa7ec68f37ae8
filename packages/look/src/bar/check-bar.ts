/**
 * The evidence bar of one check, from its wire form: which limit decides, on which side of it the measured range must lie,
 * how the ends of the scale are called, and the whole of it in words for who cannot see the drawing.
 */
import type { WireCheck } from '@gearhold/policy';
import { figureText, inUnits, type Units } from '../words/units.ts';
import { type EvidenceBar, type Proof, type Scale, usualScale } from './bar.ts';

/** How the name of a limit ends that is stated in a unit: `minSeconds` holds against a value in s. */
const limitEnding: Readonly<Record<string, string>> = {
  s: 'Seconds',
  m: 'Metres',
  mm: 'Mm',
  'km/h': 'Kph',
  kPa: 'Kpa',
  kg: 'Kg',
  '%': 'Pct',
  'r/min': 'Rpm',
};

const proofs: Readonly<Record<string, Proof>> = { missed: 'past', met: 'within' };

/** A bar with its own scale, and what it shows in words: `0 to 2 s; at least 30 s is asked`. */
export interface CheckBar extends EvidenceBar {
  readonly scale: Scale;
  readonly said: string;
}

/** The bar of a check in the reader's units; null where the policy states no limit that could be drawn. */
export function checkBar(check: WireCheck, units: Units): CheckBar | null {
  const proof = proofs[check.outcome] ?? 'unproven';
  const { low, high } = check.measured ?? { low: null, high: null };
  if (isYesOrNo(check)) return { ...yesOrNo, proof, low, high, said: yesOrNoSaid(low, high) };
  const limit = limitOf(check);
  if (limit === null) return null;
  const unit = check.measured?.unit ?? limit.unit;
  const shown = (value: number) => inUnits(value, unit, units).value;
  const value = shown(limit.value);
  const bar = {
    proof,
    low: low === null ? null : shown(low),
    high: high === null ? null : shown(high),
    limit: { side: limit.side, value },
  };
  const scale = usualScale(bar.low, bar.high, value);
  const symbol = unit === 'count' ? '' : ` ${inUnits(0, unit, units).unit}`;
  const labels = {
    from: figureText(scale.from),
    to: `${figureText(scale.to)}${symbol}`,
    limit: `${figureText(value)}${symbol}`,
  };
  const asked = `${limit.side === 'atLeast' ? 'at least' : 'at most'} ${labels.limit} is asked`;
  return { ...bar, scale, labels, said: `${rangeSaid(bar.low, bar.high, symbol)}; ${asked}` };
}

/** `0 to 2 s`, `45 s or more`, `14 %`, `not known` */
function rangeSaid(low: number | null, high: number | null, symbol: string): string {
  if (low === null && high === null) return 'not known';
  if (high === null) return `${figureText(low!)}${symbol} or more`;
  if (low === null) return `${figureText(high)}${symbol} or less`;
  const [from, to] = [figureText(low), figureText(high)];
  return from === to ? `${to}${symbol}` : `${from} to ${to}${symbol}`;
}

/** A yes-or-no check asks for yes. */
const yesOrNo = {
  limit: { side: 'atLeast', value: 0.5 },
  scale: { from: -0.25, to: 1.25 },
  labels: { from: 'no', to: 'yes', limit: null },
} as const satisfies Partial<EvidenceBar>;

function yesOrNoSaid(low: number | null, high: number | null): string {
  const known = low !== null && low === high;
  return `${known ? (low === 1 ? 'yes' : 'no') : 'yes or no'}; yes is asked`;
}

function isYesOrNo(check: WireCheck): boolean {
  const unit = check.measured?.unit;
  return unit === '0/1' || unit === '1';
}

/** The limit that decides: the one in the unit of what was measured, or the first that has a unit at all. */
function limitOf(check: WireCheck): (EvidenceBar['limit'] & { readonly unit: string }) | null {
  for (const [name, value] of Object.entries(check.limit)) {
    if (typeof value !== 'number' || !/^(min|max)[A-Z]/.test(name)) continue;
    const unit = unitOf(name);
    if (check.measured !== null && check.measured.unit !== unit) continue;
    return { side: name.startsWith('min') ? 'atLeast' : 'atMost', value, unit };
  }
  return null;
}

function unitOf(name: string): string {
  const words = name.replace(/^(min|max)/, '').split(/(?=[A-Z])/);
  return Object.entries(limitEnding).find(([, ending]) => words.includes(ending))?.[0] ?? 'count';
}
