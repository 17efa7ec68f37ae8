/**
 * An analyst's morning, in a real browser against the real service and store: signing in for the first time, going through the
 * list by keyboard, deciding, taking back, filtering; with nothing asked of anybody else and nothing that WCAG 2.2 AA forbids.
 */
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { build } from 'vite';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { accessibilityFindings, browserPath, startBrowser } from './chromium.ts';
import { type RunningFleet, startFleet } from './fleet.ts';

const ownPassword = 'four words of my own';

describe.skipIf(browserPath === null)('the console in a browser (needs Chromium)', { timeout: 240_000 }, () => {
  let fleet: RunningFleet;
  let browser: Browser;
  let page: Page;
  /** Requests that left the origin, and what the browser complained of. */
  const amiss: string[] = [];

  beforeAll(async () => {
    const root = join(import.meta.dirname, '../../services/console');
    await build({ root, configFile: join(root, 'vite.config.ts'), logLevel: 'error' });
    [fleet, browser] = await Promise.all([startFleet(), startBrowser()]);
    const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, locale: 'en-US' });
    page = await context.newPage();
    page.setDefaultTimeout(50_000);
    page.on('request', (request) => {
      if (!/^(data|blob):/.test(request.url()) && !request.url().startsWith(`${fleet.address}/`))
        amiss.push(request.url());
    });
    page.on('pageerror', (error) => amiss.push(error.message));
    page.on('console', (message) => {
      if (/Content Security Policy/i.test(message.text())) amiss.push(message.text());
    });
  });
  afterAll(async () => {
    await browser?.close();
    await fleet?.stop();
  });

  /** Nothing found by axe-core at both widths, in light and dark, and nothing that must be scrolled to sideways. */
  async function holdsUp(): Promise<void> {
    for (const [width, height] of [
      [390, 844],
      [1440, 900],
    ] as const) {
      for (const colorScheme of ['dark', 'light'] as const) {
        await page.setViewportSize({ width, height });
        await page.emulateMedia({ colorScheme });
        expect(await accessibilityFindings(page), `${width} px, ${colorScheme}`).toEqual([]);
        const over = await page.evaluate('document.documentElement.scrollWidth - document.documentElement.clientWidth');
        expect(over, `${width} px wide`).toBe(0);
      }
    }
  }
  const line = (place: number) => page.locator('ol.ledger > li').nth(place);
  const said = () => page.getByRole('region', { name: 'Decide' }).getByRole('status');

  it('signs in with the one-time password, and must choose another', async () => {
    await page.goto(fleet.address);
    await page.getByLabel('Name you sign in with').fill('admin');
    await page.getByLabel('Password').fill('wrong');
    await page.keyboard.press('Enter');
    await page.getByRole('alert').waitFor();
    await holdsUp();
    await page.getByLabel('Password').fill(fleet.oneTimePassword);
    await page.keyboard.press('Enter');
    await page.getByLabel('One-time password').fill(fleet.oneTimePassword);
    await page.getByLabel('New password', { exact: true }).fill(ownPassword);
    await page.getByLabel('New password again').fill('another');
    await page.keyboard.press('Enter');
    expect(await page.getByRole('heading').textContent()).toBe('A password of your own');
    await page.getByLabel('New password again').fill(ownPassword);
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Morning list' }).waitFor();
  });

  it('shows every anomaly with its sentence, its place and its bar, and what could not be judged', async () => {
    await line(4).waitFor();
    expect(await page.locator('ol.ledger > li').count()).toBe(5);
    expect(await line(0).textContent()).toContain('A loaded trailer was left where the sites file says');
    expect(await line(0).textContent()).toContain('08:32 CST');
    expect(await line(1).getByRole('img').getAttribute('aria-label')).toBe('22 %; at most 2 % is asked');
    await page.getByText('Hazard lamps and headlamps were not reported').waitFor();
    await holdsUp();
  });

  it('opens the most serious one, confirms it and goes on to the next, by keyboard', async () => {
    await page.reload();
    await line(0).waitFor();
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { level: 1, name: 'Uncoupling, 2 Mar 2026, 08:32 CST' }).waitFor();
    await page.locator('canvas').first().waitFor();
    expect(await page.locator('canvas').count()).toBe(5);
    await page.getByRole('img', { name: /^Plan, north up/ }).waitFor();
    expect(await page.locator('main').textContent()).toContain('the trailer no longer rests on the fifth wheel');
    expect(await page.locator('footer').textContent()).toContain('Data cannot show that a coupling is locked');
    await holdsUp();
    await page.keyboard.press('c');
    await page.getByText('1 anomaly confirmed.').waitFor();
    await page.getByText('Administrator confirmed it').waitFor();
    await page.keyboard.press('j');
    await page.getByRole('heading', { level: 1, name: 'Coupling, 2 Mar 2026, 07:53 CST' }).waitFor();
    await page.keyboard.press('l');
    await line(0).getByText('confirmed, Administrator').waitFor();
  });

  it('reads the traces off by arrow keys and zooms by key', async () => {
    await line(1).getByRole('link').click();
    const traces = page.getByRole('group', { name: /Traces from/ });
    await traces.focus();
    await page.keyboard.press('ArrowRight');
    await page.getByText(/^\d\d:\d\d:\d\d: Air-spring pressure [\d.]+\u00a0psi; Speed/).waitFor();
    await page.keyboard.press('+');
    await page.keyboard.press('0');
    const saving = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save the readings as CSV' }).click();
    expect((await saving).suggestedFilename()).toMatch(/^T-117-[0-9a-f]{16}\.csv$/);
    await page.goBack();
  });

  it('dismisses with a reason, and takes it back', async () => {
    await line(2).waitFor();
    await page.keyboard.press('j');
    await page.keyboard.press('j');
    await page.keyboard.press('d');
    await page.getByLabel(/Why is it dismissed/).fill('the legs were already down');
    await page.keyboard.press('Enter');
    await line(2).getByText('Reason: the legs were already down').waitFor();
    expect(await said().textContent()).toBe('1 anomaly dismissed.');
    await page.keyboard.press('u');
    await line(2).getByText('Reason:').waitFor({ state: 'detached' });
    expect(await line(2).textContent()).not.toContain('dismissed');
  });

  it('hands several to the shop at once', async () => {
    await line(3).getByRole('checkbox').check();
    await line(4).getByRole('checkbox').check();
    await page.keyboard.press('s');
    await page.getByText('2 anomalies handed to the shop.').waitFor();
    expect(await line(4).textContent()).toContain('with the shop');
    await page.keyboard.press('u');
    await page.getByText('2 anomalies as before').waitFor();
  });

  it('filters by yard in the address, so that the view can be sent', async () => {
    await page.getByLabel('Site').selectOption({ label: 'Meadow lot' });
    await page.waitForURL(/\?site=meadow-lot$/);
    await line(0).waitFor();
    expect(await page.locator('ol.ledger > li').count()).toBe(1);
    const address = page.url();
    await page.goto(`${fleet.address}/words`);
    await holdsUp();
    await page.goto(address);
    await line(0).waitFor();
    expect(await page.locator('ol.ledger > li').count()).toBe(1);
  });

  it('opens an anomaly by the address that mails carry', async () => {
    const link = await line(0).getByRole('link').getAttribute('href');
    const [, id, check] = /^\/episodes\/(\w+)\?check=([\w-]+)$/.exec(link!)!;
    await page.goto(`${fleet.address}/anomalies/${id}/${check}`);
    await page.getByRole('heading', { level: 1, name: 'Uncoupling, 2 Mar 2026, 08:32 CST' }).waitFor();
  });

  it('tells why a truck cannot be judged, and which signal is missing', async () => {
    await page.goto(`${fleet.address}/trucks`);
    await page.getByRole('link', { name: 'T-140' }).click();
    await page.getByRole('heading', { name: 'What cannot be judged on it, and why' }).waitFor();
    expect(await page.locator('main').textContent()).toMatch(/Never reported:.*headlamps/);
    await holdsUp();
  });

  it("reads a driver's last 90 days: counts with intervals, only of what concerns the driver", async () => {
    await page.goto(`${fleet.address}/drivers`);
    await page.getByLabel('Driver', { exact: true }).fill('D-12');
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { level: 1, name: 'Driver D-12' }).waitFor();
    const row = page.getByRole('row', { name: /^Approach stop/ });
    await row.waitFor();
    expect(await row.getByRole('cell').allTextContents()).toEqual([
      '1',
      '5',
      '0',
      'too little seen to tell',
      '1 of 5',
      'none judged',
      'none judged',
    ]);
    expect(await page.getByRole('row', { name: /^Loaded drop surface/ }).count()).toBe(0);
    await holdsUp();
  });

  it('shows what was seen in a yard', async () => {
    await page.goto(`${fleet.address}/yards`);
    await holdsUp();
    await page.getByRole('link', { name: 'Meadow lot' }).click();
    await page.getByRole('row', { name: /^Loaded drop surface/ }).waitFor();
    await holdsUp();
  });

  it('compares a draft policy with the one in force', async () => {
    await page.evaluate(async () => {
      // biome-ignore lint/suspicious/noExplicitAny: the answers are the test's own
      const read = async (path: string): Promise<any> => (await fetch(path)).json();
      const { csrfToken } = await read('/v1/session');
      const { document } = (await read('/v1/policies')).items[0];
      document.checks['gear-hold-pause'].minSeconds = 45;
      const headers = { 'content-type': 'application/json', 'x-csrf-token': csrfToken };
      await fetch('/v1/policies', { method: 'POST', headers, body: JSON.stringify({ name: 'Spring', document }) });
    });
    await page.goto(`${fleet.address}/policy`);
    const row = page.getByRole('row', { name: /^Gear-hold pause/ });
    await row.waitFor();
    expect(await row.getByRole('cell').allTextContents()).toEqual(['Shortest pause, s', '30', '45']);
    await page.getByText('Source: common practice in the trade; no standard sets it.').waitFor();
    await holdsUp();
  });

  it('shows the files that arrived and the digests that were sent', async () => {
    await page.goto(`${fleet.address}/arrivals`);
    await page.getByRole('row', { name: /readings\.csv\.gz.*47,371.*47,371.*none/ }).waitFor();
    await page.getByRole('row', { name: /2026-03-02 safety@cairn\.example/ }).waitFor();
    await holdsUp();
  });

  it('lets a person sign in, shuts them out, and issues and revokes a token', async () => {
    await page.goto(`${fleet.address}/people`);
    const people = page.getByRole('form', { name: 'Let somebody sign in' });
    await people.getByRole('textbox', { name: 'Name', exact: true }).fill('Ines');
    await people.getByRole('textbox', { name: 'Signs in as' }).fill('ines');
    await people.getByRole('combobox', { name: 'May' }).selectOption('review');
    await people.getByRole('button').click();
    await page.getByText(/^Ines signs in as ines with the one-time password \S+; it is shown this once\.$/).waitFor();
    const ines = page.getByRole('row', { name: /^Ines/ });
    await ines.getByText('look, decide; all terminals; drivers not named').waitFor();
    await holdsUp();
    await ines.getByRole('button', { name: 'Shut out' }).click();
    await ines.getByText('may not sign in').waitFor();
    const tokens = page.getByRole('form', { name: 'Issue a token' });
    await tokens.getByRole('textbox', { name: 'For', exact: true }).fill('planning');
    await tokens.getByRole('button').click();
    await page.getByText(/^The token for planning is \S+; it is shown this once\.$/).waitFor();
    await page.getByRole('button', { name: 'Revoke' }).click();
    await page
      .getByRole('row', { name: /^planning/ })
      .getByText('revoked')
      .waitFor();
  });

  it('reads in metric units when asked, and rests its keys when told', async () => {
    await page.goto(`${fleet.address}/?state=any`);
    await line(0).waitFor();
    await page.getByRole('button', { name: 'Units: US' }).click();
    await page.getByText(/within 15\u00a0m of it/).waitFor();
    await page.getByRole('button', { name: 'Keys: on' }).click();
    await page.keyboard.press('c');
    expect(await said().textContent()).toBe('');
  });

  it('prints the sentence, the traces and the cautions, and no buttons', async () => {
    await line(0).getByRole('link').click();
    await page.locator('canvas').first().waitFor();
    await page.emulateMedia({ media: 'print' });
    expect(await page.getByRole('button', { name: 'Confirm' }).isVisible()).toBe(false);
    expect(await page.locator('footer').isVisible()).toBe(true);
    expect((await page.pdf({ format: 'Letter' })).length).toBeGreaterThan(10_000);
    await page.emulateMedia({ media: 'screen' });
  });

  it('signs out', async () => {
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.getByLabel('Name you sign in with').waitFor();
  });

  it('asked nobody else, and broke no rule of the content policy', () => {
    expect(amiss).toEqual([]);
  });
});
