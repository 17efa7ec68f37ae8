import { describe, expect, it } from 'vitest';
import { IdentifierTable } from './identifiers.ts';

describe('IdentifierTable', () => {
  it('finds every id again after its bytes were overwritten', () => {
    const table = new IdentifierTable();
    const bytes = Buffer.alloc(16);
    const ids = Array.from({ length: 3000 }, (_, i) => `T-${i}`);
    const find = (id: string) => table.fromBytes(bytes, 0, bytes.write(id));
    const first = ids.map(find);
    expect(first.map((found) => found?.text)).toEqual(ids);
    expect(ids.map(find).every((found, i) => found === first[i])).toBe(true);
    expect(table.fromText('T-17')).toBe(first[17]);
  });

  it('takes 1 to 64 characters, counting code points, and no control character, line break or broken encoding', () => {
    const table = new IdentifierTable();
    const fromText = (text: string) => table.fromBytes(Buffer.from(text), 0, Buffer.byteLength(text))?.text ?? null;
    for (const good of ['x', 'é'.repeat(64), '\u{1f69b}'.repeat(64), ' T 1 ']) expect(fromText(good)).toBe(good);
    for (const bad of ['', 'x'.repeat(65), 'a\nb', 'a\u0000', 'a\u0085b', 'a\u2028b', '\ufffd']) {
      expect(fromText(bad)).toBeNull();
      expect(table.fromText(bad)).toBeNull();
    }
    expect(table.fromText('\ud83d')).toBeNull();
    expect(table.fromBytes(Uint8Array.of(84, 0xe9), 0, 2)).toBeNull();
  });

  it('takes no new id once it is full, and still finds the old ones', () => {
    const table = new IdentifierTable(2);
    for (const id of ['a', 'b']) expect(table.fromText(id)?.text).toBe(id);
    expect(table.fromText('c')).toBeNull();
    expect(table.fromBytes(Buffer.from('d'), 0, 1)).toBeNull();
    expect(table.fromBytes(Buffer.from('b'), 0, 1)?.text).toBe('b');
  });
});
