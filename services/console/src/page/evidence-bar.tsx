/** The evidence bar of a check: the drawing that mail and packet carry too. */
import { checkBar, svgBar } from '@gearhold/look';
import type { JudgedCheck } from '../server/messages.ts';
import { useSurroundings } from '../shell/person.ts';
import { wireCheck } from './sentence.ts';

export function EvidenceBar({ check }: { check: BarredCheck }) {
  const { units } = useSurroundings();
  // Where nothing was asked there is nothing to weigh.
  const bar = check.outcome === 'not-applicable' ? null : checkBar(wireCheck(check), units);
  if (bar === null) return <div class="bar" />;
  // Our own drawing; whatever text stands in it was escaped where it was drawn.
  return <div class="bar" dangerouslySetInnerHTML={{ __html: svgBar(bar) }} />;
}

type BarredCheck = Pick<JudgedCheck, 'check' | 'outcome' | 'measured' | 'limit'>;
