/** Daily digests: which mail of which day went to whom, and what became of it. */
import { type Api, about, type Context, problemAnswers, readCursor, writeCursor } from '@gearhold/http';
import { digestPage, pageQuery } from '@gearhold/schemas/api';
import { type DigestRecord, digestsPage } from '@gearhold/store';
import { iso } from '../access/wire.ts';

export function addDigestRoutes(app: Api, { store }: Context): void {
  app.get(
    '/v1/digests',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'listDigests',
          tags: ['Digests'],
          summary: 'Daily mails, those of the latest day first',
        }),
        querystring: pageQuery,
        response: { 200: digestPage, ...problemAnswers },
      },
    },
    async ({ query: { limit, cursor } }) => {
      const asked = { list: 'digests' };
      const key = cursor === undefined ? null : readCursor(asked, cursor, ['string', 'string']);
      const before = key && { day: key[0] as string, recipient: key[1] as string };
      const found = await digestsPage(store, before, limit + 1);
      const items = found.slice(0, limit);
      const last = items.at(-1);
      const more = found.length > limit && last !== undefined;
      return {
        items: items.map(wireDigest),
        nextCursor: more ? writeCursor(asked, [last.day, last.recipient]) : null,
      };
    },
  );
}

function wireDigest(digest: DigestRecord) {
  return {
    digestId: `${digest.day}/${digest.recipient}`,
    day: digest.day,
    recipient: digest.recipient,
    state: digest.state,
    messageId: digest.messageId,
    attempts: digest.attempts,
    sentTime: digest.state === 'sent' ? iso(digest.changedMs) : null,
    failure: digest.problem,
  };
}
