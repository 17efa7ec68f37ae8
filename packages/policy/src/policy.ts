/**
 * The policy: which steps a fleet asks for, and with which limits. Versioned and strict. A check or limit that the file does
 * not name keeps its built-in value; the order of the checks in the file is the order of the output, and those it does not
 * name follow in the built-in order.
 */
import { z } from 'zod';
import { type CheckDefinition, type Concern, concerns, type Limits, type Urgency, urgencies } from './check.ts';
import { type CheckName, checkList } from './checks/index.ts';

/** One check as the policy asks it. */
export interface CheckSetting {
  readonly check: CheckName;
  readonly enabled: boolean;
  readonly limits: Limits;
  readonly concern: Concern;
  readonly urgency: Urgency;
  /** Where each limit comes from, by limit. */
  readonly sources: Readonly<Record<string, string>>;
}

export interface PolicyOverride {
  readonly sites: readonly string[] | null;
  readonly vehicles: readonly string[] | null;
  readonly terminals: readonly string[] | null;
  readonly checks: Readonly<Partial<Record<CheckName, SettingChange>>>;
}

export interface Policy {
  readonly version: 1;
  readonly checks: readonly CheckSetting[];
  /** Applied in order; a later one wins. */
  readonly overrides: readonly PolicyOverride[];
}

/** What a file says of one check: anything it leaves out stays as it was. */
export interface SettingChange {
  readonly enabled?: boolean | undefined;
  readonly concern?: Concern | undefined;
  readonly urgency?: Urgency | undefined;
  readonly sources?: Readonly<Record<string, string>> | undefined;
  readonly [limit: string]: unknown;
}

function settingSchema(check: CheckDefinition) {
  const shape: Record<string, z.ZodType> = {
    enabled: z.boolean().optional().describe('Whether the step is asked for at all. Built in: true.'),
  };
  for (const [name, limit] of Object.entries(check.limits)) {
    shape[name] = limit.schema.optional().describe(`${limit.meaning} Built in: ${limit.builtIn} (${limit.source}).`);
  }
  shape.concern = z
    .enum(concerns)
    .optional()
    .describe(`Whom a miss concerns. Built in: ${check.concern}, because ${check.because}.`);
  shape.urgency = z.enum(urgencies).optional().describe(`How urgent a miss is. Built in: ${check.urgency}.`);
  shape.sources = z
    .record(z.string(), z.string())
    .optional()
    .describe('Where each limit comes from, by limit. For people; it decides nothing.');
  return z.strictObject(shape).describe(`${check.title} (${check.kinds.join(', ')}). Source: ${check.source}.`);
}

const settingShape = Object.fromEntries(checkList.map((check) => [check.name, settingSchema(check).optional()]));
// Named, so that the JSON Schema says it once for the policy and its overrides.
const settingsSchema = z.strictObject(settingShape).meta({ id: 'checks' });
const ids = z.array(z.string().min(1)).min(1).optional();

const overrideSchema = z
  .strictObject({
    sites: ids.describe('Site ids of the sites file.'),
    vehicles: ids.describe('Vehicle ids.'),
    terminals: ids.describe('Terminals of the vehicles file or of the sites file.'),
    checks: settingsSchema.describe('What is asked differently there.'),
  })
  .refine(
    (override) => override.sites ?? override.vehicles ?? override.terminals,
    'expected at least one of sites, vehicles, terminals',
  )
  .describe('Holds where every list that is given names the site, the vehicle or the terminal.');

/** The policy file. */
export const policySchema = z
  .strictObject({
    version: z.literal(1).describe('Version of this format.'),
    checks: settingsSchema.optional().describe('What is asked, in the order of the output.'),
    overrides: z.array(overrideSchema).optional().describe('What is asked differently somewhere; a later entry wins.'),
  })
  .describe('A policy: which steps a fleet asks for, and with which limits.');

/** Every check enabled, every limit at its built-in value. */
export const builtInPolicy: Policy = { version: 1, checks: checkList.map(builtInSetting), overrides: [] };

function builtInSetting(check: CheckDefinition): CheckSetting {
  const limits = Object.entries(check.limits);
  return {
    check: check.name as CheckName,
    enabled: true,
    limits: Object.fromEntries(limits.map(([name, limit]) => [name, limit.builtIn])),
    concern: check.concern,
    urgency: check.urgency,
    sources: Object.fromEntries(limits.map(([name, limit]) => [name, limit.source])),
  };
}

/** One setting with what a file says of it laid over. */
export function changed(setting: CheckSetting, change: SettingChange | undefined): CheckSetting {
  if (change === undefined) return setting;
  const limits: Record<string, number | string> = { ...setting.limits };
  const sources: Record<string, string> = { ...setting.sources };
  for (const name of Object.keys(limits)) {
    const value = change[name];
    if (value === undefined || value === limits[name]) continue;
    limits[name] = value as number | string;
    // A source stands for the value that it came with.
    sources[name] = 'set by this policy';
  }
  return {
    check: setting.check,
    enabled: change.enabled ?? setting.enabled,
    limits,
    concern: change.concern ?? setting.concern,
    urgency: change.urgency ?? setting.urgency,
    sources: { ...sources, ...change.sources },
  };
}

/** The policy as a file to start from: every check, every limit, its source. Parsing it gives the same policy again. */
export function policyFile(policy: Policy): z.infer<typeof policySchema> {
  const checks = Object.fromEntries(
    policy.checks.map(({ check, enabled, limits, concern, urgency, sources }) => [
      check,
      { enabled, ...limits, concern, urgency, sources: { ...sources } },
    ]),
  );
  const overrides = policy.overrides.map((override) => ({
    ...(override.sites === null ? {} : { sites: [...override.sites] }),
    ...(override.vehicles === null ? {} : { vehicles: [...override.vehicles] }),
    ...(override.terminals === null ? {} : { terminals: [...override.terminals] }),
    checks: override.checks as Record<string, Record<string, unknown>>,
  }));
  return { version: 1, checks, overrides };
}
