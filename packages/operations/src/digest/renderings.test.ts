/** What both renderings must keep: every sentence, every bar, nothing fetched, nothing that a file could smuggle in, and contrast. */
import { cautions, termOf } from '@gearhold/look';
import { describe, expect, it } from 'vitest';
import { digestContent } from './content.ts';
import { darkInk, digestHtml, lightInk } from './html.ts';
import { check, day, episode, fact, nothingEarlier, recipient } from './testing/day.ts';
import { digestText } from './text.ts';

const options = { consoleUrl: 'https://console.example.org' };

function contentOf(count: number, change: Parameters<typeof episode>[2] = {}) {
  const episodes = Array.from({ length: count }, (_, i) => fact(episode(`e${i}`, [check()], change)));
  return digestContent(day({ episodes }), nothingEarlier, recipient(), options);
}

/** Text between the tags, with entities resolved. */
function visible(html: string): string {
  return html
    .replace(/<style>.*?<\/style>|<title>.*?<\/title>/gs, '')
    .replace(/<[^>]*>/g, ' ')
    .replaceAll('&nbsp;', ' ')
    .replace(/&#(\d+);/g, (_, code) => String.fromCharCode(Number(code)))
    .replace(/\s+/g, ' ');
}

describe('the HTML', () => {
  it('fetches nothing and runs nothing', () => {
    expect(digestHtml(contentOf(3))).not.toMatch(/<img|<script|<link|<iframe|url\(|@import|src=|javascript:|onload/i);
  });

  it('says every sentence and draws every bar, but says the later ones in words', () => {
    const html = digestHtml(contentOf(40));
    expect(visible(html).match(/The trailer was left after a pause of 0 s/g)).toHaveLength(40);
    expect(html.match(/role="img"/g)).toHaveLength(25);
    expect(visible(html).match(/0 to 2 s; at least 30 s is asked\./g)).toHaveLength(15);
    expect(html.length).toBeLessThan(100_000);
  });

  it('takes names from files as text', () => {
    const html = digestHtml(contentOf(1, { vehicleId: '"><b onload=x>', driverId: "D'&<i>", siteId: '<h2>' }));
    expect(html).not.toMatch(/<b onload|<i>|<h2>(?!<)/);
    expect(visible(html)).toContain(`Truck "><b onload=x>`);
    expect(visible(html)).toContain(`for the driver: D'&<i>`);
  });

  it('has headings that the glossary explains, and the cautions in full', () => {
    const html = digestHtml(contentOf(1));
    const headings = [...html.matchAll(/<h2[^>]*>([^<]*)/g)].map(([, title]) => title!.trim());
    expect(headings).toEqual(['To talk over']);
    expect(headings.every((title) => termOf(title) !== null)).toBe(true);
    expect(visible(html)).toContain(cautions);
  });

  it('is readable in both variants: text has a contrast of at least 7 to 1', () => {
    for (const { paper, ink, soft, missed, act } of [lightInk, darkInk]) {
      for (const colour of [ink, soft, missed, act]) expect(contrast(colour, paper)).toBeGreaterThanOrEqual(7);
    }
    // The figure itself, against one that is known: black on white.
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 6);
  });

  it('gives every ink that stands in place a dark variant', () => {
    const html = digestHtml(contentOf(2));
    const coloured = [...html.matchAll(/<(\w+)([^>]*style="[^"]*(?:color:|solid )#[^"]*")/g)];
    expect(coloured.length).toBeGreaterThan(20);
    const without = coloured.filter(([, tag, attributes]) => tag !== 'a' && !/class="/.test(attributes!));
    expect(without.map(([whole]) => whole)).toEqual([]);
  });
});

describe('the text', () => {
  it('keeps to its width, links aside, and says and draws every anomaly', () => {
    const text = digestText(contentOf(3));
    const long = text.split('\n').filter((line) => line.length > 64 && !line.startsWith('https://'));
    expect(long).toEqual([]);
    expect(text.match(/30 s\n0 ├█+┄/g)).toHaveLength(3);
    expect(text.match(/\(0 to 2 s; at least 30 s is asked\)/g)).toHaveLength(3);
    expect(text.match(/^https:\/\/console\.example\.org\/anomalies\/e\d\/gear-hold-pause$/gm)).toHaveLength(3);
  });

  it('says what the HTML says', () => {
    const content = contentOf(2);
    const words = (text: string) => text.replace(/[^\p{L}\p{N}]+/gu, ' ').toLowerCase();
    const text = words(digestText(content));
    for (const sentence of [content.day, ...content.lead, content.foot, cautions])
      expect(text).toContain(words(sentence).trim());
    for (const { title, note } of content.sections) expect(text).toContain(words(`${title} ${note ?? ''}`).trim());
  });

  it('lets no control character of a file through', () => {
    const text = digestText(contentOf(1, { vehicleId: 'T\u001b[31m\u202e1' }));
    expect(text.replaceAll('\n', '')).not.toMatch(/[\p{Cc}\p{Cf}]/u);
  });
});

/** WCAG 2.2, contrast ratio of two sRGB colours written as #rrggbb. */
function contrast(a: string, b: string): number {
  const [light, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number];
  return (light + 0.05) / (dark + 0.05);
}

function luminance(colour: string): number {
  const channel = (from: number) => {
    const value = Number.parseInt(colour.slice(from, from + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}
