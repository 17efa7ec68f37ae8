/** Every check of an episode: what came of it and why, with its evidence bar. */
import { EvidenceBar } from '../page/evidence-bar.tsx';
import { checkName, outcomeWords } from '../page/names.ts';
import { sentenceOf } from '../page/sentence.ts';
import type { StoredEpisode } from '../server/messages.ts';
import { useSurroundings } from '../shell/person.ts';

type Check = StoredEpisode['episode']['checks'][number];

interface Props {
  readonly checks: readonly Check[];
  /** The one whose window the traces show. */
  readonly shown: string | null;
  readonly onShow: (check: string) => void;
}

export function CheckList({ checks, shown, onShow }: Props) {
  const { units } = useSurroundings();
  return (
    <ul class="ledger" aria-label="Checks">
      {checks.map((check) => (
        <li key={check.check} class="line check">
          <p class="when">
            <span class={`tag${check.outcome === 'missed' ? ' urgent' : ''}`}>
              {outcomeWords[check.outcome] ?? check.outcome}
            </span>
          </p>
          <div>
            <p class="say">
              <strong>{checkName(check.check)}</strong>
            </p>
            <p class="say">{sentenceOf(check, units)}</p>
            {check.window !== null && (
              <button
                type="button"
                class="plain small unprinted"
                aria-pressed={shown === check.check}
                onClick={() => onShow(check.check)}
              >
                {shown === check.check ? 'Its window is shown in the traces' : 'Show its window in the traces'}
              </button>
            )}
          </div>
          <EvidenceBar check={check} />
        </li>
      ))}
    </ul>
  );
}
