/** The policy: what is in force since when, its limits in words with the source of each, and drafts compared with it. */

import { capital } from '@gearhold/look';
import { useEffect, useState } from 'preact/hooks';
import { checkName } from '../page/names.ts';
import { Waiting } from '../page/refused.tsx';
import { Scroll } from '../page/scroll.tsx';
import type { Page, PolicyDifference, StoredPolicy } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { instant } from '../trucks/trucks-page.tsx';

type Words = typeof import('./meaning.ts');

export function PolicyPage() {
  const { answer, refusal } = useAnswer<Page<StoredPolicy>>('/v1/policies');
  const [words, setWords] = useState<Words | null>(null);
  useEffect(() => {
    // The words of the checks weigh more than the rest of the page: they come when they are read.
    void import('./meaning.ts').then(setWords);
  }, []);
  return (
    <>
      <h1>Policy</h1>
      {answer === null || words === null ? (
        <Waiting refusal={refusal} />
      ) : (
        <Told policies={answer.items} words={words} />
      )}
    </>
  );
}

const stateOf: Readonly<Record<StoredPolicy['state'], string>> = {
  'in-force': 'in force',
  scheduled: 'to come',
  past: 'past',
  draft: 'draft',
};

function Told({ policies, words }: { policies: readonly StoredPolicy[]; words: Words }) {
  const inForce = policies.find(({ state }) => state === 'in-force');
  const drafts = policies.filter(({ state }) => state === 'draft');
  return (
    <>
      <Scroll label="Policies">
        <table>
          <thead>
            <tr>
              <th>Policy</th>
              <th>State</th>
              <th>From</th>
              <th>Until</th>
            </tr>
          </thead>
          <tbody>
            {policies.map(({ policyId, name, state, validFrom, validUntil }) => (
              <tr key={policyId}>
                <th scope="row">{name}</th>
                <td>{stateOf[state]}</td>
                <td>{state === 'draft' ? '' : validFrom === null ? 'always' : instant(validFrom)}</td>
                <td>{validUntil === null ? '' : instant(validUntil)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scroll>
      {drafts.length === 0 ? (
        <p class="soft">
          There is no draft. One is made from a file, such as npx gearhold policy show writes, by POST /v1/policies;
          here it is then compared with what is in force.
        </p>
      ) : (
        drafts.map((draft) => <Draft key={draft.policyId} draft={draft} words={words} />)
      )}
      {inForce !== undefined && <Asked policy={inForce} words={words} />}
    </>
  );
}

function Draft({ draft: { policyId, name }, words }: { draft: StoredPolicy; words: Words }) {
  const { answer, refusal } = useAnswer<PolicyDifference>(`/v1/policies/${encodeURIComponent(policyId)}/difference`);
  return (
    <section>
      <h2>The draft {name} against what is in force</h2>
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : answer.items.length === 0 ? (
        <p>It asks the same of every check.</p>
      ) : (
        <Scroll label="Differences">
          <table>
            <thead>
              <tr>
                <th>Check</th>
                <th>What</th>
                <th>In force</th>
                <th>Draft</th>
              </tr>
            </thead>
            <tbody>
              {answer.items.map(({ check, what, inForce, draft }) => (
                <tr key={check + what}>
                  <th scope="row">{checkName(check)}</th>
                  <td>{meaningOf(words, check, what)}</td>
                  <td>{said(inForce)}</td>
                  <td>{said(draft)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scroll>
      )}
      {answer?.overridesDiffer === true && <p>What it asks of single sites, trucks or terminals differs, too.</p>}
    </section>
  );
}

function Asked({ policy: { document }, words }: { policy: StoredPolicy; words: Words }) {
  const settings = words.settingsOf(document);
  return (
    <section>
      <h2>What is in force asks</h2>
      {settings === null ? (
        <p>This version of the console cannot read the policy in force.</p>
      ) : (
        <ul class="ledger">
          {settings.map(({ check, enabled, concern, urgency, limits, sources }) => (
            <li key={check} class="line unjudged">
              <p class="when">{enabled ? `${concern}, ${urgency}` : 'not asked'}</p>
              <div>
                <p class="say">
                  <strong>{checkName(check)}</strong>: {words.checkMeanings.get(check)?.title}
                </p>
                {Object.entries(limits).map(([name, value]) => (
                  <p class="who" key={name}>
                    {meaningOf(words, check, name)}: <b>{value}</b>. Source: {sources[name] ?? 'not stated'}.
                  </p>
                ))}
              </div>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

/** `Shortest pause, s`; the name of a limit that is not known. */
function meaningOf(words: Words, check: string, limit: string): string {
  return words.checkMeanings.get(check)?.limits[limit]?.meaning.replace(/\.$/, '') ?? capital(limit);
}

function said(value: string | number | boolean | null): string {
  if (value === null) return 'not asked';
  return typeof value === 'boolean' ? (value ? 'yes' : 'no') : String(value);
}
