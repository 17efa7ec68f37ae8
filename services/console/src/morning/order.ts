/** In which order the morning list stood when an anomaly was opened from it, so that its page can go on to the next. */

export interface ListOrder {
  /** The address of the list. */
  readonly list: string;
  /** Addresses of the anomalies' pages, in the order of the list. */
  readonly pages: readonly string[];
}

let kept: ListOrder = { list: '/', pages: [] };

export function keepOrder(order: ListOrder): void {
  kept = order;
}

export function keptOrder(): ListOrder {
  return kept;
}

/** The page so many places further; null at either end, or where the page was not opened from a list. */
export function pageFrom({ pages }: ListOrder, here: string, by: 1 | -1): string | null {
  const place = pages.indexOf(here);
  return place === -1 ? null : (pages[place + by] ?? null);
}
