/** The places that the fleet knows: the sites file, which is the whole truth. */
import type { Site } from '@gearhold/policy';
import type { Statements, Transaction } from '../engine/engine.ts';

/** Stores a sites file in place of the one before; gives whether it says something else. */
export async function storeSites(transaction: Transaction, sites: readonly Site[]): Promise<boolean> {
  if (JSON.stringify(await readSites(transaction)) === JSON.stringify(sites)) return false;
  await transaction.query('delete from site');
  for (const [position, site] of sites.entries()) {
    await transaction.query('insert into site (site_id, position, terminal, document) values ($1, $2, $3, $4)', [
      site.siteId,
      position,
      site.terminal ?? null,
      JSON.stringify(site),
    ]);
  }
  return true;
}

/** The sites in the order of the file. */
export async function readSites(statements: Statements): Promise<Site[]> {
  const rows = await statements.query<{ document: string }>('select document from site order by position');
  return rows.map(({ document }) => JSON.parse(document) as Site);
}
