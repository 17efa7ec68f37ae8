/**
 * What was learned of one truck, on the wire: one line of `gearhold levels --ndjson`. The list is open: consumers ignore
 * fields that they do not know.
 */
import { statedFigures } from '@gearhold/episodes';
import { reaches } from '@gearhold/policy';
import { signalNames } from '@gearhold/signals';
import { z } from 'zod';

const number = z.number();
const time = z.string().meta({ format: 'date-time' }).describe('ISO 8601 with milliseconds and Z.');
const signal = z.enum(signalNames as readonly [string, ...string[]]);

const level = z
  .looseObject({ value: number.describe('In unit.'), basis: z.enum(['stated', 'learned']) })
  .nullable()
  .describe('null where it is neither stated nor learned yet.');

export const levelsSchema = z
  .looseObject({
    vehicleId: z.string().min(1).max(64),
    rows: number.int().min(1).describe('Rows of the truck that were used.'),
    firstTime: time,
    lastTime: time,
    driveSuspension: z.enum(['air', 'spring']).nullable().describe('As the vehicles file states it; null where not.'),
    loadSignal: z
      .enum(['suspensionKpa', 'axleLoadKg'])
      .nullable()
      .describe('What shows the load; null where nothing reported does: then no coupling or uncoupling is seen.'),
    unit: z.enum(['kPa', 'kg']).nullable().describe('Of levels, trailers, noise and step.'),
    levels: z.looseObject({ bobtail: level, empty: level, loaded: level }),
    bobtailTransfers: number
      .int()
      .min(0)
      .describe('Transfers that agree with the level that the readings show as bobtail.'),
    trailers: z
      .looseObject({ count: number.int().min(1), lightest: number, heaviest: number })
      .nullable()
      .describe('Levels with a trailer, of the last transfers; null where none was seen.'),
    noise: number.nullable().describe('Robust standard deviation of the load at standstill; null = too few samples.'),
    step: number.nullable().describe('Smallest change of the load; null = it never changed.'),
    blindSpeedKph: z
      .looseObject({ value: number, basis: z.enum(['stated', 'learned', 'assumed']) })
      .describe('Below it the speed reads 0.'),
    idleRpm: number.nullable().describe('Lowest engine speed held, r/min.'),
    releasedPedalPct: number.nullable().describe('What the released accelerator reads, %.'),
    signals: z
      .array(
        z.looseObject({
          signal,
          mode: z.enum(['periodic', 'change-only', 'unknown']).describe('unknown: reported too seldom to tell.'),
          everySeconds: number.nullable().describe('Usual interval of a periodic signal, s.'),
          rows: number.int().min(1),
          share: number.min(0).max(1).describe('Share of the rows that report it.'),
        }),
      )
      .describe('Signals reported at least once.'),
    notReported: z.array(signal),
    contradictions: z
      .array(
        z.looseObject({
          figure: z.enum(statedFigures),
          stated: number,
          seen: number,
          times: number.nullable().describe('Transfers, or trailers, that show it.'),
        }),
      )
      .describe('Figures of the vehicles file that the readings contradict.'),
    episodes: z.record(z.string(), number.int().min(1)).describe('Episodes seen, by kind.'),
    checks: z
      .array(
        z.looseObject({
          check: z.string().min(1),
          reach: z
            .enum(reaches)
            .describe(
              'never-judged: undetermined whatever happens; never-missed, never-met: only the other can be shown.',
            ),
          why: z.array(z.string()).describe('Parts of a sentence.'),
        }),
      )
      .describe("The policy's checks, in its order, where no site asks otherwise."),
  })
  .describe('What was learned of one truck, which signals it reports, and what that makes undeterminable.');

export type TruckLevels = z.infer<typeof levelsSchema>;
