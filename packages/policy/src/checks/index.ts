/** Every check there is, in the built-in policy's order. */
import type { CheckDefinition } from '../check.ts';
import { backingAboveIdle } from './backing-above-idle.ts';
import { gearHoldPause } from './gear-hold-pause.ts';

export const checks = [gearHoldPause, backingAboveIdle] as const;

export type CheckName = (typeof checks)[number]['name'];

/** The same list, each check seen only as what all of them are. */
export const checkList: readonly CheckDefinition[] = checks as readonly unknown[] as readonly CheckDefinition[];
