/** The recipients file, opened and checked. */
import { type Recipient, recipientsSchema } from '@gearhold/schemas';
import { checkCompanion, readJson } from '@gearhold/shared';

const what = 'recipients file';

/** @throws Failure of status 2 that names the place in the file and what was expected */
export async function readRecipients(path: string): Promise<Recipient[]> {
  return checkCompanion(await readJson(path, what), path, what, recipientsSchema);
}
