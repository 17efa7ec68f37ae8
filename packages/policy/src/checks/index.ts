/** Every check there is, in the built-in policy's order: coupling as it happens, then uncoupling, then what goes wrong. */
import type { CheckDefinition } from '../check.ts';
import { airbagsRestored } from './airbags-restored.ts';
import { approachStop } from './approach-stop.ts';
import { backingAboveIdle } from './backing-above-idle.ts';
import { backingSpeed } from './backing-speed.ts';
import { contactSpeed } from './contact-speed.ts';
import { couplingDwell } from './coupling-dwell.ts';
import { departureInspection } from './departure-inspection.ts';
import { gearHoldPause } from './gear-hold-pause.ts';
import { lampsWhileBacking } from './lamps-while-backing.ts';
import { loadLostUnderWay } from './load-lost-under-way.ts';
import { loadReturned } from './load-returned.ts';
import { loadedDropSurface } from './loaded-drop-surface.ts';
import { parkingBrakeSet } from './parking-brake-set.ts';
import { repeatedAttempts } from './repeated-attempts.ts';
import { suspensionResponse } from './suspension-response.ts';
import { tugTestCount } from './tug-test-count.ts';

export const checks = [
  approachStop,
  lampsWhileBacking,
  backingSpeed,
  backingAboveIdle,
  suspensionResponse,
  contactSpeed,
  repeatedAttempts,
  tugTestCount,
  gearHoldPause,
  loadReturned,
  loadedDropSurface,
  parkingBrakeSet,
  couplingDwell,
  departureInspection,
  airbagsRestored,
  loadLostUnderWay,
] as const;

export type CheckName = (typeof checks)[number]['name'];

/** The same list, each check seen only as what all of them are. */
export const checkList: readonly CheckDefinition[] = checks as readonly unknown[] as readonly CheckDefinition[];
