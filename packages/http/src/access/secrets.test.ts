import { describe, expect, it } from 'vitest';
import { newOneTimePassword, passwordFits, passwordHash } from './secrets.ts';

describe('passwords', () => {
  it('fit what was kept of them and nothing else', async () => {
    const kept = await passwordHash('correct horse');
    expect(kept).not.toContain('correct');
    expect(await passwordFits('correct horse', kept)).toBe(true);
    expect(await passwordFits('correct horsf', kept)).toBe(false);
    expect(await passwordFits('correct horse', 'plain')).toBe(false);
    expect(await passwordHash('correct horse')).not.toBe(kept);
  });

  it('are the same however the letters were composed', async () => {
    expect(await passwordFits('café', await passwordHash('café'))).toBe(true);
  });

  it('for one use are four groups of four', () => {
    expect(newOneTimePassword()).toMatch(/^[a-z2-9]{4}(-[a-z2-9]{4}){3}$/);
  });
});
