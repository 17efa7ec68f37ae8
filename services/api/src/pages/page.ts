/** A plain page of words for the pages that the service writes itself: no script, one style sheet. */

export function page(title: string, body: string): string {
  return (
    `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>${escaped(title)} - gearhold</title>` +
    '<meta name="viewport" content="width=device-width, initial-scale=1">' +
    '<link rel="icon" href="data:,">' +
    `<link rel="stylesheet" href="/reference.css"></head><body><main><h1>${escaped(title)}</h1>${body}</main></body></html>`
  );
}

/** Text as it may stand in HTML, in attributes too. */
export function escaped(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;');
}
