/** Every check that the policy asks of an episode, judged, in the policy's order. */
import type { Episode } from '@gearhold/episodes';
import { askedChecks } from './asked.ts';
import { type Concern, type Context, cannotJudge, type Finding, notAsked, type Urgency } from './check.ts';
import type { CheckName } from './checks/index.ts';
import { wentOffAgain } from './evidence/off-again.ts';
import type { Policy } from './policy.ts';

export interface AssessedCheck extends Omit<Finding, 'concern'> {
  readonly check: CheckName;
  readonly concern: Concern;
  readonly urgency: Urgency;
}

/** Judges an episode. Pure: the same episode, policy and context give the same findings. */
export function assess(episode: Episode, policy: Policy, context: Context): AssessedCheck[] {
  return askedChecks(policy, episode.kind, episode.vehicleId, context).map(({ definition, setting }) => {
    const finding = blindSuspension(episode, context)
      ? blind(definition.name, setting.limits, context)
      : withheld(definition.name, episode, definition.judge(episode, setting.limits, context));
    return {
      check: setting.check,
      outcome: finding.outcome,
      measured: finding.measured,
      limit: finding.limit,
      window: finding.window,
      statement: finding.statement,
      concern: finding.concern ?? setting.concern,
      urgency: setting.urgency,
    };
  });
}

/** Below this probability that the episode happened at all, nobody is accused of how it was done (house policy). */
const leastConfidence = 0.9;
/** Checks of the reversing itself, which no reading shows where no gear is reported. */
export const asksOfReversing = new Set([
  'backing-above-idle',
  'backing-speed',
  'contact-speed',
  'approach-stop',
  'repeated-attempts',
]);

/** A `missed` that rests on an episode, or on a direction, that is itself only likely is not proven. */
function withheld(check: string, episode: Episode, finding: Finding): Finding {
  if (finding.outcome !== 'missed') return finding;
  const gear = episode.evidence.track.column('gear');
  const why =
    episode.confidence < leastConfidence
      ? `it is not sure enough that the trailer was ${episode.kind === 'uncoupling' ? 'left' : 'taken'} here`
      : asksOfReversing.has(check) && gear === null
        ? 'no gear was reported, so which run was the reversing is not sure'
        : episode.kind === 'coupling' && wentOffAgain(episode)
          ? 'the load went off again, so when the trailer was taken for good is not sure'
          : null;
  if (why === null) return finding;
  return { ...finding, outcome: 'undetermined', statement: cannotJudge(finding.limit, why).statement };
}

/** On spring suspension pressure proves nothing: neither the transfer nor any milestone that was read from it. */
function blindSuspension(episode: Episode, { vehicle }: Context): boolean {
  return vehicle?.driveSuspension === 'spring' && episode.loadSignal === 'suspensionKpa';
}

const asksNothingOfYardTractors = new Set(['gear-hold-pause', 'backing-above-idle']);

function blind(check: string, limits: Finding['limit'], { vehicle }: Context): Finding {
  if (vehicle?.use === 'yard' && asksNothingOfYardTractors.has(check)) {
    return notAsked(limits, 'a yard tractor lifts the trailer itself');
  }
  return cannotJudge(limits, 'the vehicles file says spring suspension, on which pressure proves nothing');
}
