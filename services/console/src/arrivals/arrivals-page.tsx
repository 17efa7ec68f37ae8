/** What arrived: files with what was rejected of them and why, and the digests as they were sent. For administrators, as the API is. */
import { count, whole } from '@gearhold/look';
import { useState } from 'preact/hooks';
import { Waiting } from '../page/refused.tsx';
import { Scroll } from '../page/scroll.tsx';
import { withQuery } from '../server/ask.ts';
import type { Digest, InputFile, Page, Reject } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { addressText } from '../shell/address.ts';
import { useSurroundings } from '../shell/person.ts';
import { instant } from '../trucks/trucks-page.tsx';

export function ArrivalsPage({ query }: { query: Readonly<Record<string, string | undefined>> }) {
  const { person } = useSurroundings();
  return (
    <>
      <h1>Arrivals</h1>
      {person.scopes.includes('administer') ? (
        <>
          <Files after={query.after} />
          <Digests />
        </>
      ) : (
        <p>Files and digests are shown to administrators.</p>
      )}
    </>
  );
}

function Files({ after }: { after: string | undefined }) {
  const { answer, refusal } = useAnswer<Page<InputFile>>(withQuery('/v1/files', { limit: 100, cursor: after }));
  const [opened, setOpened] = useState<InputFile | null>(null);
  return (
    <section>
      <h2>Files</h2>
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : answer.items.length === 0 ? (
        <p>
          No file was taken yet. One comes in by npx gearhold ingest FILE, or from the inbox of npx gearhold nightly.
        </p>
      ) : (
        <Scroll label="Files">
          <table>
            <thead>
              <tr>
                <th>File</th>
                <th>Arrived</th>
                <th>State</th>
                <th class="number">Rows</th>
                <th class="number">Taken</th>
                <th>Rejected</th>
              </tr>
            </thead>
            <tbody>
              {answer.items.map((file) => (
                <tr key={file.fileId}>
                  <th scope="row">{file.name}</th>
                  <td>{instant(file.arrivedTime)}</td>
                  <td>{file.failure ?? file.state}</td>
                  <td class="number">{whole(file.rowsRead)}</td>
                  <td class="number">{whole(file.rowsAccepted)}</td>
                  <td>
                    {rejectedText(file.rejected)}{' '}
                    {Object.keys(file.rejected).length > 0 && (
                      <button type="button" class="plain" onClick={() => setOpened(file)}>
                        Show them
                      </button>
                    )}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scroll>
      )}
      {answer?.nextCursor != null && (
        <p>
          <a data-inside href={addressText('/arrivals', { after: answer.nextCursor })}>
            Next page
          </a>
        </p>
      )}
      {opened !== null && <Rejects key={opened.fileId} file={opened} />}
    </section>
  );
}

/** `12 time, 3 columns`, or `none` */
function rejectedText(rejected: Readonly<Record<string, number>>): string {
  const parts = Object.entries(rejected).map(([reason, times]) => `${whole(times)} ${reason}`);
  return parts.length === 0 ? 'none' : parts.join(', ');
}

function Rejects({ file: { fileId, name } }: { file: InputFile }) {
  const path = withQuery(`/v1/files/${encodeURIComponent(fileId)}/rejects`, { limit: 100 });
  const { answer, refusal } = useAnswer<Page<Reject>>(path);
  return (
    <section>
      <h3>Rejected of {name}</h3>
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : (
        <>
          <p class="soft">
            {answer.nextCursor === null ? count(answer.items.length, 'row') : 'The first 100 rows'}, as they came.
          </p>
          <Scroll label="Rejected rows">
            <table>
              <thead>
                <tr>
                  <th class="number">Line</th>
                  <th>Why</th>
                  <th>Row</th>
                </tr>
              </thead>
              <tbody>
                {answer.items.map(({ line, reason, text }) => (
                  <tr key={line}>
                    <td class="number">{line}</td>
                    <td>{reason}</td>
                    <td>{text}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </Scroll>
        </>
      )}
    </section>
  );
}

function Digests() {
  const { answer, refusal } = useAnswer<Page<Digest>>('/v1/digests?limit=100');
  return (
    <section>
      <h2>Digests</h2>
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : answer.items.length === 0 ? (
        <p>No digest was sent yet. The night sends them, to those whom npx gearhold nightly --recipients FILE names.</p>
      ) : (
        <Scroll label="Digests">
          <table>
            <thead>
              <tr>
                <th>Day</th>
                <th>Recipient</th>
                <th>State</th>
                <th>Sent</th>
                <th class="number">Tries</th>
              </tr>
            </thead>
            <tbody>
              {answer.items.map(({ digestId, day, recipient, state, failure, sentTime, attempts }) => (
                <tr key={digestId}>
                  <th scope="row">{day}</th>
                  <td>{recipient}</td>
                  <td>{failure === null ? state : `${state}: ${failure}`}</td>
                  <td>{instant(sentTime)}</td>
                  <td class="number">{attempts}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scroll>
      )}
    </section>
  );
}
