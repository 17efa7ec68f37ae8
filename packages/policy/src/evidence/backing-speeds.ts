/**
 * The speeds of the last reverse run, for the checks that ask how fast a tractor came under its trailer: what such a check
 * needs of the signals, the form of its limit, and the samples with the window they are read in, or why there are none.
 */
import type { Coupling } from '@gearhold/episodes';
import { z } from 'zod';
import { type BackingWindow, backingWindow } from './backing-window.ts';
import { type Samples, samplesOf } from './samples.ts';

export const ofBackingSpeed = {
  kinds: ['coupling'],
  needs: ['speedKph'],
  uses: ['gear', 'suspensionKpa', 'axleLoadKg'],
} as const;

/** A highest speed, km/h. */
export const highestKph = z.number().min(0).max(50);

export type BackingSpeeds = { readonly window: BackingWindow; readonly speed: Samples } | { readonly why: string };

export function backingSpeeds(episode: Coupling): BackingSpeeds {
  const speed = samplesOf(episode.evidence, 'speedKph');
  if (speed.times.length === 0) return { why: 'speed was not reported' };
  const window = backingWindow(episode);
  if (window === null) return { why: 'the readings do not show when the tractor backed under the trailer' };
  return { window, speed };
}
