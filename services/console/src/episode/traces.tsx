/** The traces of an episode: small multiples on one axis of time, read off by pointer or arrow keys, zoomed together. */
import { figureText } from '@gearhold/look';
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type uPlot from 'uplot';
import { clockText } from '../page/clock.ts';
import type { Evidence } from '../server/messages.ts';
import { useSurroundings } from '../shell/person.ts';
import { drawStrip, inkFor, type Mark } from './draw-strip.ts';
import type { Milestone } from './milestones.ts';
import { readOff, type Strips, stripsOf } from './strips.ts';
import 'uplot/dist/uPlot.min.css';

interface Props {
  readonly evidence: Evidence;
  readonly milestones: readonly Milestone[];
  readonly window: { readonly start: string; readonly end: string } | null;
  readonly zone: string;
}

const seconds = (iso: string) => Date.parse(iso) / 1000;

export function Traces({ evidence, milestones, window, zone }: Props) {
  const { units } = useSurroundings();
  const drawn = useMemo(() => stripsOf(evidence, units), [evidence, units]);
  const holder = useRef<HTMLDivElement>(null);
  const plots = useRef<uPlot[]>([]);
  const [place, setPlace] = useState<number | null>(null);

  useEffect(() => {
    const marks: Mark[] = milestones.map(({ low, high, short }) => ({
      low: seconds(low),
      high: seconds(high),
      word: short,
    }));
    const places = [...holder.current!.querySelectorAll<HTMLElement>('[data-strip]')];
    const made = drawn.strips.map((strip, n) =>
      drawStrip(places[n]!, drawn.times, strip, {
        zone,
        marks,
        window: window && { start: seconds(window.start), end: seconds(window.end) },
        syncKey: evidence.episodeId,
        first: n === 0,
        last: n === drawn.strips.length - 1,
        onCursor: n === 0 ? setPlace : () => undefined,
      }),
    );
    plots.current = made;
    const fit = () => {
      for (const [n, plot] of made.entries()) plot.setSize({ width: places[n]!.clientWidth, height: plot.height });
    };
    const redraw = () => {
      for (const plot of made) plot.redraw();
    };
    const before = () => {
      inkFor(true);
      redraw();
    };
    const after = () => {
      inkFor(false);
      redraw();
    };
    const dark = matchMedia('(prefers-color-scheme: dark)');
    const watcher = new ResizeObserver(fit);
    watcher.observe(holder.current!);
    addEventListener('beforeprint', before);
    addEventListener('afterprint', after);
    dark.addEventListener('change', redraw);
    return () => {
      watcher.disconnect();
      removeEventListener('beforeprint', before);
      removeEventListener('afterprint', after);
      dark.removeEventListener('change', redraw);
      for (const plot of made) plot.destroy();
    };
  }, [drawn, window?.start, window?.end, zone]);

  const zoom = (factor: number | null) => {
    const first = plots.current[0];
    if (first === undefined) return;
    const [start, end] = [drawn.times[0]!, drawn.times.at(-1)!];
    const { min, max } = first.scales.x as { min: number; max: number };
    const middle = place === null ? (min + max) / 2 : drawn.times[place]!;
    const half = ((max - min) * (factor ?? 1)) / 2;
    const to =
      factor === null
        ? { min: start, max: end }
        : { min: Math.max(start, middle - half), max: Math.min(end, middle + half) };
    for (const plot of plots.current) plot.setScale('x', to);
  };
  const step = (by: number) => {
    const to = Math.min(drawn.times.length - 1, Math.max(0, (place ?? 0) + by));
    for (const plot of plots.current) plot.setCursor({ left: plot.valToPos(drawn.times[to]!, 'x'), top: 20 });
    setPlace(to);
  };
  const press = (event: KeyboardEvent) => {
    const by = { ArrowLeft: -1, ArrowRight: 1, PageUp: -10, PageDown: 10 }[event.key];
    if (by !== undefined) step(by);
    else if (event.key === '+') zoom(0.5);
    else if (event.key === '-') zoom(2);
    else if (event.key === '0') zoom(null);
    else return;
    event.preventDefault();
  };

  return (
    <div ref={holder}>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: the traces are read off by arrow keys */}
      {/* biome-ignore lint/a11y/useSemanticElements: a field set holds fields; this holds drawings */}
      <div tabIndex={0} role="group" aria-label={saidOf(drawn, zone)} onKeyDown={press}>
        {drawn.strips.map((strip) => (
          <div class="strip" key={strip.signal}>
            <h3>
              {strip.title}
              {strip.unit !== '' && `, ${strip.unit}`}
            </h3>
            <div data-strip={strip.signal} />
          </div>
        ))}
      </div>
      {drawn.missing.length > 0 && <p>Not reported by this truck here: {drawn.missing.join(', ')}.</p>}
      <p class="small" role="status">
        {place === null
          ? 'Point at a trace, or step along it with the arrow keys, to read it off.'
          : readOffText(drawn, place, zone)}
      </p>
      <p class="small unprinted">
        <button type="button" onClick={() => zoom(0.5)}>
          Nearer
        </button>{' '}
        <button type="button" onClick={() => zoom(2)}>
          Farther
        </button>{' '}
        <button type="button" onClick={() => zoom(null)}>
          Whole
        </button>{' '}
        <span class="soft">
          Drag across a trace to zoom; <kbd>+</kbd> <kbd>-</kbd> <kbd>0</kbd> do it by key. Rules are milestones, as
          wide as they are uncertain; the shaded bracket is the window of the check; where nothing was reported, nothing
          is drawn.
        </span>
      </p>
    </div>
  );
}

function readOffText({ times, strips }: Strips, place: number, zone: string): string {
  const values = strips.map((strip) => {
    const value = readOff(strip, place);
    return `${strip.title.replace(/,.*/, '')} ${value === null ? 'not reported' : valueText(strip.signal, value, strip.unit)}`;
  });
  return `${clockText(times[place]! * 1000, zone)}: ${values.join('; ')}`;
}

function valueText(signal: string, value: number, unit: string): string {
  if (signal === 'parkingBrake') return value === 1 ? 'set' : 'off';
  return `${figureText(value)}${unit === '' ? '' : `\u00a0${unit}`}`;
}

/** The traces for who cannot see them: what is drawn, from when to when, between which values. */
function saidOf({ times, strips }: Strips, zone: string): string {
  const ranges = strips.map(({ title, unit, values }) => {
    let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (const value of values) {
      if (value == null) continue;
      low = Math.min(low, value);
      high = Math.max(high, value);
    }
    return `${title}: ${figureText(low)} to ${figureText(high)} ${unit}`.trim();
  });
  const [from, to] = [times[0] ?? 0, times.at(-1) ?? 0].map((at) => clockText(at * 1000, zone));
  return `Traces from ${from} to ${to}. ${ranges.join('. ')}`;
}
