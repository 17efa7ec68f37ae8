/** The browser that the stories run in: Debian's Chromium, or the one that `GEARHOLD_CHROMIUM` names. Nothing is downloaded. */
import { existsSync } from 'node:fs';
import axe from 'axe-core';
import { type Browser, chromium, type Page } from 'playwright-core';

const usual = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'];

/** Where it lies; null where there is none. */
export const browserPath: string | null =
  process.env.GEARHOLD_CHROMIUM ?? usual.find((path) => existsSync(path)) ?? null;

export function startBrowser(): Promise<Browser> {
  return chromium.launch({
    executablePath: browserPath!,
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  });
}

const rules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

/** What axe-core finds on the page as it stands against WCAG 2.2 AA: a sentence each. */
export async function accessibilityFindings(page: Page): Promise<string[]> {
  // By the debugger's own evaluation: the content policy lets no script of a test into the page.
  await page.evaluate(axe.source);
  const found = await page.evaluate(
    (runOnly) => (globalThis as unknown as { axe: typeof axe }).axe.run({ runOnly }),
    rules,
  );
  return found.violations.flatMap(({ id, help, nodes }) => nodes.map(({ html }) => `${id}: ${help}: ${html}`));
}
