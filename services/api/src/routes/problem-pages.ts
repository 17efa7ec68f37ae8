/** The page of each kind of problem, where its `type` points: the table of the catalogue in words. */
import { chosenFormat, ProblemError, type ProblemName, problemKinds, problemType } from '@gearhold/http';
import type { FastifyInstance } from 'fastify';
import { escaped, page } from '../pages/page.ts';

export function addProblemPages(app: FastifyInstance): void {
  const options = { config: { access: 'open' as const }, schema: { hide: true } };
  app.get('/problems', options, async (_, reply) => {
    reply.type('text/html; charset=utf-8');
    const items = Object.entries(problemKinds).map(
      ([name, { status, title }]) =>
        `<li><a href="${problemType(name as ProblemName)}">${escaped(name)}</a>: ${status}, ${escaped(title)}</li>`,
    );
    return page(
      'Problems',
      `<p>What the service answers with when it cannot do what was asked.</p><ul>${items.join('')}</ul>`,
    );
  });
  app.get<{ Params: { name: string } }>('/problems/:name', options, async (request, reply) => {
    const { name } = request.params;
    if (!Object.hasOwn(problemKinds, name)) throw new ProblemError('not-found');
    const kind = problemKinds[name as ProblemName];
    const wantsHtml = request.headers.accept?.includes('text/html') === true;
    if (!wantsHtml) {
      chosenFormat(request.headers.accept, ['json']);
      return { type: problemType(name as ProblemName), ...kind };
    }
    reply.type('text/html; charset=utf-8');
    return page(
      kind.title,
      `<p>Status ${kind.status}, type <code>${escaped(problemType(name as ProblemName))}</code></p>` +
        `<h2>What it means</h2><p>${escaped(kind.means)}</p><h2>What to do</h2><p>${escaped(kind.remedy)}</p>` +
        '<p><a href="/problems">All problems</a></p>',
    );
  });
}
