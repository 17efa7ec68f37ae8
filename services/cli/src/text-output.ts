/** Text to a stream, no faster than whoever reads it. */
import { once } from 'node:events';

const blockLength = 64 * 1024;

/** Writes pieces of text in blocks; waits where the stream is full. */
export async function writeText(stream: NodeJS.WritableStream, pieces: Iterable<string>): Promise<void> {
  let block = '';
  for (const piece of pieces) {
    block += piece;
    if (block.length < blockLength) continue;
    if (!stream.write(block)) await once(stream, 'drain');
    block = '';
  }
  if (block !== '' && !stream.write(block)) await once(stream, 'drain');
}
