import { describe, expect, it } from 'vitest';
import { packPages } from '../../../server/paper/pack/pack.ts';
import { proudLow } from '../../../server/paper/pack/rim.ts';
import type { PackCover } from '../../../server/paper/pack/types.ts';
import { pointsOf } from '../../../server/paper/paperSize.ts';
import { coloursOf, hasPoppler, infoOf, textOf, wordsOf } from '../../helpers/pdf.ts';
import { exampleSetting } from './example.ts';
import { asBuilt, examplePackCover, examplePackSetting, kept } from './examplePack.ts';
import { printAll } from './print.ts';

function print(covers: readonly PackCover[]): Promise<Buffer> {
  const lines = covers.map(({ structure, verdict }) => ({ id: structure.id, ...verdict }));
  async function* all() {
    yield* covers;
  }
  return printAll(packPages(lines, all(), examplePackSetting));
}

const open = examplePackCover([], {
  verdict: { state: 'notChecked', reasons: ['The rim was never checked.'], said: null },
});

describe('words of an as-built rim', () => {
  it('say proud, low or flush, never a sign alone', () => {
    expect(proudLow(0.0016, exampleSetting.units)).toBe('1⁄16 in proud');
    expect(proudLow(-0.0032, exampleSetting.units)).toBe('1⁄8 in low');
    expect(proudLow(0.0004, exampleSetting.units)).toBe('flush');
    expect(proudLow(-0.003, { small: 'millimetres', smallUnit: 'mm', elevation: 'm', timeZone: 'UTC' })).toBe(
      '3 mm low',
    );
  });
});

describe.skipIf(!hasPoppler)('an acceptance pack, read with poppler', () => {
  it('counts verdicts on its title, names limits with whose they are, and lists what is not accepted', async () => {
    const text = textOf(await print([examplePackCover(asBuilt), open]), 1);
    expect(text).toContain('Acceptance pack Tallow Street');
    expect(text).toContain('2 covers 1 Accepted 0 NOT ACCEPTED 1 NOT CHECKED');
    expect(text).toContain('Proud, at most 1⁄4 in the agency’s');
    expect(text).toContain('Not accepted: 1 MH-207 NOT CHECKED. The rim was never checked.');
  });

  it('shows as-built, tests with their source, rings, seals, and who said so when', async () => {
    const text = textOf(await print([examplePackCover(asBuilt)]), 2);
    expect(text).toContain('Target at the centre 842.31 ft');
    expect(text).toContain('Most proud 1⁄16 in proud Lowest 1⁄8 in low');
    expect(text).toContain('FAILED, structure, 10 to 8.5 inHg in 60 s, 60 s required');
    expect(text).toContain('Retest 1 passed, structure');
    expect(text).toContain('table: Example specification, section 4');
    expect(text).toContain('1 Flat 3 in; 2 Taper 1⁄2 to 1 1⁄2 in, thick 11, as chosen');
    expect(text).toContain('on ring 1: 1 × rope 1⁄2 in Example rope, ENDS NOT JOINED');
    expect(text).toMatch(/J\. Roe, 27 Nov 2026 .* received 27 Nov 2026/);
  });

  it('never shows what was not tested as passed', async () => {
    const text = textOf(await print([open]), 2);
    expect(text).toContain('Vacuum NOT TESTED, and asked for');
    expect(text).toContain('Straightedge NOT TESTED, and asked for');
    expect(text).toContain('NOT CHECKED');
    expect(text).not.toMatch(/passed|flush/);
  });

  it('keeps a withdrawn test out, and a test that was said to be not tested apart', async () => {
    const test = asBuilt.find(({ kind }) => kind === 'vacuum')!;
    const withdrawn = [...asBuilt, kept('withdrawn', { record: test.id, reason: 'wrong cover' })];
    const text = textOf(await print([examplePackCover(withdrawn)]), 2);
    expect(text).not.toContain('8.5 inHg');
    expect(text).toContain('Vacuum passed');
  });

  it('flows over pages inside their frame, blocks whole, without a colour', async () => {
    const many = Array.from({ length: 9 }, () => examplePackCover(asBuilt));
    const reasons = Array.from({ length: 40 }, () => ({ ...open }));
    const bytes = await print([...many, ...reasons]);
    const [width, height] = pointsOf.letter;
    for (const word of wordsOf(bytes)) {
      expect(word.right, word.text).toBeLessThan(width - 30);
      expect(word.bottom, word.text).toBeLessThan(height - 25);
    }
    const { pages } = infoOf(bytes);
    expect(textOf(bytes, pages)).toContain(`Page ${pages}`);
    expect(textOf(bytes).match(/NOT TESTED, and asked for/g)!.length).toBe(9 + 2 * 40);
    expect(coloursOf(bytes).mostSaturated).toBeLessThanOrEqual(1);
  });
});
