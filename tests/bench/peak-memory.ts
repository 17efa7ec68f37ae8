/** Loaded into a measured process before its own code: at exit, writes the peak of its resident memory to a file, kB. */
import { writeFileSync } from 'node:fs';

process.on('exit', () => {
  const file = process.env.BENCH_PEAK_FILE;
  if (file !== undefined) writeFileSync(file, String(process.resourceUsage().maxRSS));
});
