/** Writes `schemas/openapi.json` anew after a change to a route or a message: part of `npm run schemas`. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describedText } from './text.ts';

writeFileSync(join(import.meta.dirname, '../../../../schemas/openapi.json'), await describedText());
