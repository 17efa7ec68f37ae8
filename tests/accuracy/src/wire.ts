/**
 * As much of an episode's wire form as the harness reads, and the program that prints it: `gearhold analyze` in a process
 * of its own, as a fleet would run it.
 */
import { spawn } from 'node:child_process';
import { createReadStream } from 'node:fs';
import { createInterface } from 'node:readline';

export interface FoundCheck {
  readonly check: string;
  readonly outcome: 'met' | 'missed' | 'undetermined' | 'not-applicable';
  readonly measured: {
    readonly value: number | null;
    readonly low: number | null;
    readonly high: number | null;
    readonly unit: string;
  } | null;
  readonly reason: string;
}

export interface FoundEpisode {
  readonly episodeId: string;
  readonly kind: string;
  readonly vehicleId: string;
  readonly driverId: string | null;
  readonly loadTransferTime: string;
  readonly trailerLoad: string;
  readonly suspensionDumped: boolean | null;
  readonly milestones: Readonly<Record<string, string | null | readonly string[]>>;
  readonly confidence: number;
  readonly checks: readonly FoundCheck[];
}

const program = new URL('../../../services/cli/src/gearhold.ts', import.meta.url).pathname;

/**
 * Runs the analysis over one file and reads the episodes, which the program puts beside it: so that it never waits for a
 * reader that is busy with something else.
 *
 * @throws when the program ends with another status than 0, with what it said
 */
export async function analyse(readings: string, companions: readonly string[]): Promise<FoundEpisode[]> {
  const out = `${readings}.episodes`;
  const asked = ['analyze', '--kinds', 'all', '--out', out, ...companions, readings];
  const child = spawn(process.execPath, [program, ...asked], { stdio: ['ignore', 'ignore', 'pipe'] });
  let said = '';
  child.stderr.on('data', (chunk: Buffer) => {
    said = (said + chunk.toString()).slice(-4000);
  });
  const status = await new Promise<number | null>((resolve, reject) => {
    child.on('error', reject);
    child.on('close', resolve);
  });
  if (status !== 0) throw new Error(`gearhold analyze ended with status ${status}: ${said}`);
  const found: FoundEpisode[] = [];
  for await (const line of createInterface({ input: createReadStream(out) })) {
    if (line !== '') found.push(JSON.parse(line) as FoundEpisode);
  }
  return found;
}
