/**
 * How this store keeps drivers: said once, it stands for every later load, whoever starts it. The key of the pseudonyms is made on
 * first use and stays in the store; it is printed nowhere.
 */
import { randomBytes } from 'node:crypto';
import { type Engine, readSetting, settingOr, writeSetting } from '@gearhold/store';
import { type DriverMode, driverModes, driversKept } from './drivers-kept.ts';
import type { DriversAsKept } from './statements.ts';

export interface DriversInStore extends DriversAsKept {
  /** How drivers were kept until now, where that was otherwise: rows that are stored keep what they have. */
  readonly before: DriverMode | null;
}

/** What is asked for, or what the store has, or `named`. With `write` it becomes the store's. */
export async function driversOf(
  engine: Engine,
  asked: DriverMode | undefined,
  nowMs: number,
  write = true,
): Promise<DriversInStore> {
  const text = await readSetting(engine, 'drivers');
  const stored = text === null ? null : modeOf(JSON.parse(text));
  const mode = asked ?? stored ?? 'named';
  if (write && mode !== stored) await writeSetting(engine, 'drivers', JSON.stringify(mode), nowMs);
  const key = mode === 'pseudonym' ? await keyOf(engine, nowMs) : null;
  return { mode, driver: driversKept(mode, key), before: stored === mode ? null : stored };
}

async function keyOf(engine: Engine, nowMs: number): Promise<Uint8Array> {
  const fresh = JSON.stringify(randomBytes(32).toString('base64'));
  return Buffer.from(JSON.parse(await settingOr(engine, 'pseudonymKey', fresh, nowMs)), 'base64');
}

function modeOf(value: unknown): DriverMode {
  return driverModes.find((mode) => mode === value) ?? 'named';
}
