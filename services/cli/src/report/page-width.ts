/** Columns of a page: those of the terminal within what reads well, 80 where the output is none. */
const usualWidth = 80;
const widest = 100;
const narrowest = 64;

export function pageWidth({ columns }: { readonly columns?: number }): number {
  return Math.min(widest, Math.max(narrowest, columns ?? usualWidth));
}
