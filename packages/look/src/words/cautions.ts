/** What every face of the product says at its foot: what no data can show, and what goes before any verdict. */
const sentences = [
  'Data cannot show that a coupling is locked: only a person looking at the fifth wheel can.',
  'No verdict here clears a vehicle to move.',
  "The carrier's own procedure, the maker's instructions, local law and qualified technicians come first.",
  'An anomaly opens a conversation; it is not by itself a ground for discipline.',
  "Dropping a double's rear trailer leaves no trace on the drive axle, and lines, chocks, locks, pins and turns of the crank are never seen: what was not seen is never called done.",
] as const;

export const cautions: string = sentences.join(' ');
