/**
 * The episodes found, as NDJSON lines, until the last of them is known: they are printed in order of load transfer, and
 * an earlier one may come from a later vehicle. The text goes to a scratch file once there is much of it; in memory stay
 * the keys.
 */
import { ScratchFile } from '@gearhold/shared';

/** Text kept in memory before it is written away, bytes. */
const usualBlockBytes = 16 * 1024 * 1024;

interface Entry {
  readonly timeMs: number;
  readonly vehicleId: string;
  readonly position: number;
  readonly length: number;
}

export class LineStore {
  #block: Buffer;
  #used = 0;
  /** Bytes that were written away before the block. */
  #written = 0;
  #scratch: ScratchFile | null = null;
  readonly #entries: Entry[] = [];

  /** `blockBytes`: memory for text before it goes to the disk. Defaults to 16 MiB. */
  constructor(blockBytes = usualBlockBytes) {
    this.#block = Buffer.allocUnsafeSlow(blockBytes);
  }

  get length(): number {
    return this.#entries.length;
  }

  /** `timeMs` is the load transfer time as it is printed, in ms since the epoch. */
  add(timeMs: number, vehicleId: string, line: string): void {
    const length = Buffer.byteLength(line);
    if (this.#used + length > this.#block.length) this.#spill(length);
    this.#entries.push({ timeMs, vehicleId, position: this.#written + this.#used, length });
    this.#block.write(line, this.#used);
    this.#used += length;
  }

  /** The lines by time, then vehicle, then their own text, each ended by a line feed. */
  *lines(): Generator<string> {
    this.#entries.sort((a, b) => compare(a, b) || (this.#text(a) < this.#text(b) ? -1 : 1));
    for (const entry of this.#entries) yield `${this.#text(entry)}\n`;
  }

  /** Frees the disk. */
  close(): void {
    this.#scratch?.close();
    this.#scratch = null;
  }

  #text(entry: Entry): string {
    if (entry.position >= this.#written) {
      const start = entry.position - this.#written;
      return this.#block.toString('utf8', start, start + entry.length);
    }
    const bytes = Buffer.allocUnsafe(entry.length);
    this.#scratch!.read(bytes, entry.position);
    return bytes.toString('utf8');
  }

  #spill(coming: number): void {
    this.#scratch ??= new ScratchFile();
    this.#scratch.append(this.#block.subarray(0, this.#used));
    this.#written += this.#used;
    this.#used = 0;
    if (coming > this.#block.length) this.#block = Buffer.allocUnsafeSlow(coming);
  }
}

function compare(a: Entry, b: Entry): number {
  if (a.timeMs !== b.timeMs) return a.timeMs - b.timeMs;
  if (a.vehicleId !== b.vehicleId) return a.vehicleId < b.vehicleId ? -1 : 1;
  return 0;
}
