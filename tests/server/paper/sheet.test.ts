import { readFile } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import { expectedDowns } from '#core/field/expectedDowns.ts';
import { readTapes } from '#core/surface/tapes.ts';
import { type PaperSize, pointsOf } from '../../../server/paper/paperSize.ts';
import { printPages } from '../../../server/paper/print.ts';
import { drawSheet } from '../../../server/paper/sheet/sheet.ts';
import type { SheetCover, SheetSetting } from '../../../server/paper/sheet/types.ts';
import { coloursOf, hasPoppler, infoOf, textOf, wordsOf } from '../../helpers/pdf.ts';
import { exampleCover, exampleSetting, plan } from './example.ts';
import { printAll } from './print.ts';

type Paper = Parameters<typeof drawSheet>[0];

function print(
  covers: readonly SheetCover[],
  { size = 'letter', ...change }: Partial<SheetSetting> & { size?: PaperSize } = {},
): Promise<Buffer> {
  const setting = { ...exampleSetting, ...change };
  const pages = covers.map((cover) => (paper: Paper) => drawSheet(paper, cover, setting));
  return printAll(pages, { title: 'Crew sheets', size, printedAt: setting.printedAt });
}

const mm: Partial<SheetSetting> = {
  units: { small: 'millimetres', smallUnit: 'mm', elevation: 'm', timeZone: 'UTC' },
};
const long = exampleCover();
const longest = exampleCover({
  structure: {
    ...long.structure,
    id: 'SANITARY-MANHOLE-OF-THE-NORTH-EASTERN-INTERCEPTOR-LINE-000012345',
    street:
      'Old Harbour and Saint Bartholomew Memorial Boulevard Extension North of the Canal, Upper Carriageway',
    owner: 'Regional Metropolitan Wastewater Reclamation and Distribution Authority of the Three Valleys',
  },
  plan: {
    ...plan,
    stack: [
      ...Array.from({ length: 10 }, () => ({ ring: 'FL-1', azimuthDeg: null })),
      { ring: 'TP-A', azimuthDeg: 60 },
      { ring: 'TP-A', azimuthDeg: 320 },
    ],
  },
  ties: [1, 2, 3, 4, 5, 6].map((n) => ({
    to: `north-eastern corner of the brick electricity substation beside the old harbour wall, number ${n}`,
    distanceM: n * 7.3,
  })),
  crew: 'The northern night paving crew of the second maintenance district and its neighbours, third shift',
  plate: 'PLATE-OF-THE-NORTHERN-DEPOT-0000000000000000000000000000012',
});

describe('the tapes that a plan expects', () => {
  it('are read back as the same plane', () => {
    const gradient = [0.0123, -0.0345] as const;
    const expected = { rise: 0.31, gradient, radius: 0.33, bearing: 2.2 };
    const read = readTapes({ down: expectedDowns(expected), radius: 0.33, bearing: 2.2 });
    expect(read.rise).toBeCloseTo(0.31, 12);
    expect(read.gradient[0]).toBeCloseTo(gradient[0], 12);
    expect(read.gradient[1]).toBeCloseTo(gradient[1], 12);
    expect(read.misclosure).toBeCloseTo(0, 12);
  });
});

describe('a crew sheet', () => {
  it('has the same bytes for the same data and time', async () => {
    expect((await print([exampleCover()])).equals(await print([exampleCover()]))).toBe(true);
    const later = await print([exampleCover()], { printedAt: new Date('2026-11-25T15:01:00Z') });
    expect(later.equals(await print([exampleCover()]))).toBe(false);
  });

  it('names its language', async () => {
    expect((await print([exampleCover()])).toString('latin1')).toContain('/Lang (en)');
  });
});

describe.skipIf(!hasPoppler)('a crew sheet, read with poppler', () => {
  it('is one page a cover on either paper, tagged and titled', async () => {
    for (const size of ['letter', 'a4'] as const) {
      const info = infoOf(await print([exampleCover(), longest, exampleCover({ plan: null })], { size }));
      expect(info).toMatchObject({ pages: 3, title: 'Crew sheets', isTagged: true });
      expect(info.size[0]).toBeCloseTo(pointsOf[size][0], 1);
      expect(info.size[1]).toBeCloseTo(pointsOf[size][1], 1);
    }
  });

  it('says what to do in fractions of an inch, bottom ring last, in clock words', async () => {
    const text = textOf(await print([exampleCover()]));
    expect(text).toContain('MH-207');
    expect(text).toContain('Tallow Street 24+18 6 ft right of centre');
    expect(text).toContain('Stop 3 of 9');
    expect(text).toContain('Thu 26 Nov 2026, crew A');
    expect(text).toContain('Raise 2 3⁄8 in');
    expect(text).toContain('within 1⁄4 in all round');
    expect(text).toMatch(/18 ft 4 in hydrant/);
    expect(text).toContain('Section, true to scale, cut from 11 to 5 o’clock');
    expect(text).toMatch(/thick 11 toward centre thin 5 toward curb/);
    const table = text.slice(text.indexOf('Frame 7 in high'));
    expect(table.indexOf('Taper 1⁄2 to 1 1⁄2 in')).toBeLessThan(table.indexOf('Flat 2 in'));
    expect(table.indexOf('Flat 2 in')).toBeLessThan(table.indexOf('Flat 3 in'));
    expect(text).toContain('Plan 5 of 25 Nov 2026');
    expect(text).toContain('Printed 25 Nov 2026');
  });

  it('prints the tapes expected at four clocks: 13.44 in and the fall of the grade over 13 in', async () => {
    // rise 1.12 ft = 13.44 in; gradient at azimuth 40: 0.004 sin 40 + 0.0358 cos 40 = 0.0300; 0.39 in over 13 in.
    const text = textOf(await print([exampleCover()]));
    expect(text).toContain('12 up-station 13 13⁄16');
    expect(text).toContain('6 down 13 1⁄16');
    expect(text).toContain('3 curb 13 3⁄16');
    expect(text).toContain('9 centre 13 11⁄16');
    expect(text).toContain('12 + 6 must equal 9 + 3 within 1⁄8 in');
  });

  it('says millimetres and metres to those who work in them', async () => {
    const text = textOf(await print([exampleCover()], { ...mm, size: 'a4' }));
    expect(text).toContain('Raise 60 mm');
    expect(text).toContain('within 6.4 mm all round');
    expect(text).toContain('5.59 m');
    expect(text).not.toContain('⁄8 in');
  });

  it('names the rings that one person does not lift alone, by the agency’s limit, and nothing where no mass is known', async () => {
    const text = textOf(await print([exampleCover()]));
    expect(text).not.toContain('Two persons or a lifting device');
    const known = exampleCover().ringCatalogue!;
    // 28 kg: a concrete ring of 850 by 650 mm, 50 mm high, by its volume and 2400 kg a cubic metre.
    const rings = known.rings.map((ring) => (ring.id === 'FL-3' ? { ...ring, massKg: 28 } : ring));
    const stack = [
      { ring: 'FL-3', azimuthDeg: null },
      { ring: 'FL-3', azimuthDeg: null },
      { ring: 'TP-A', azimuthDeg: 6 },
    ];
    const cover = exampleCover({ ringCatalogue: { ...known, rings }, plan: { ...plan, stack } });
    expect(textOf(await print([cover]))).toContain(
      'Two persons or a lifting device: rings 1 and 2 (62 lb each).',
    );
    expect(textOf(await print([cover], mm))).toContain('rings 1 and 2 (28 kg each)');
    expect(textOf(await print([cover], { twoPersonsKg: 30 }))).not.toContain('lifting device: ring');
    expect(infoOf(await print([cover])).pages).toBe(1);
  });

  it('carries the cautions and defers to permit, code and competent person', async () => {
    for (const cover of [exampleCover(), exampleCover({ plan: null })]) {
      const text = textOf(await print([cover]));
      for (const word of [
        'barricade',
        'no entry without permit and air test',
        'Subpart AA',
        'pinned and ramped',
        '23 kg',
        'silica',
        'nobody over the plate',
        'cure time',
      ])
        expect(text).toContain(word);
      expect(text).toContain(
        'The permit, the local code and the competent person on site come before this paper.',
      );
    }
  });

  it('says why there is no stack, and prints none', async () => {
    const none = textOf(await print([exampleCover({ plan: null })]));
    expect(none).toContain('Not planned yet');
    expect(none).toContain('no stack is printed');
    const review = {
      ...plan,
      status: 'review' as const,
      reasons: [{ code: 'unreachable', values: { limit: 'tilt' } }],
    };
    const text = textOf(await print([exampleCover({ plan: review })]));
    expect(text).toContain('Look before you build');
    expect(text).toContain('the tapered rings cannot follow the slope');
    expect(text).not.toContain('Flat 3 in');
    expect(text).not.toContain('Kit:');
  });

  it('says that a later plan replaced it', async () => {
    const text = textOf(
      await print([exampleCover({ stale: 'Replaced by a later plan: ask before you build.' })]),
    );
    expect(text).toContain('Replaced by a later plan');
  });

  it('of a seat that nobody measured asks for it, and once it was taped prints what was chosen', async () => {
    const { structure } = exampleCover();
    const unknown = {
      structure: { ...structure, seatElevationM: null },
      plan: {
        ...plan,
        ...{ status: 'remeasure' as const, netBuildupM: null, stack: [], residual: null },
        reasons: [{ code: 'seatUnknown', values: { rim: 'known' } }],
      },
    };
    const asked = textOf(await print([exampleCover(unknown)]));
    expect(asked).toContain('Measure the seat');
    expect(asked).toMatch(/Nothing to draw: the seat was never\s+measured/);
    const chosen = {
      stack: [{ ring: 'FL-3', azimuthDeg: null }],
      by: 'R. Pell',
      at: '2026-11-25T22:00:00Z',
      reason: 'By four tapes there was no stack',
      jointM: { base: 0.0025, between: 0.0025, top: 0.0025 },
    };
    const taped = textOf(await print([exampleCover({ ...unknown, chosen })]));
    expect(taped).toMatch(/Raise 2 3⁄8 in\s+to finished grade/);
    expect(taped).not.toContain('Measure the seat');
    expect(taped).toContain('Flat 3 in');
    expect(taped).toMatch(/Not drawn: the stack was found by tapes/);
    const nowhere = exampleCover({ ...unknown, chosen, plan: { ...unknown.plan, rimErrorM: null } });
    expect(textOf(await print([nowhere]))).toContain('Build as chosen');
  });

  it('prints what was chosen at the hole in place of the plan, with both', async () => {
    const chosen = {
      stack: [{ ring: 'FL-1.5', azimuthDeg: null }],
      by: 'J. Roe',
      at: '2026-11-26T02:10:00Z',
      reason: 'no 2 in flat on the truck',
      jointM: { base: 0.0025, between: 0.0025, top: 0.0025 },
    };
    const text = textOf(await print([exampleCover({ chosen })]));
    expect(text).toContain('Flat 1 1⁄2 in');
    expect(text).toContain('J. Roe');
    expect(text).toContain('no 2 in flat on the truck');
    expect(text).toContain('flat 3 + flat 2 + taper 1⁄2 to 1 1⁄2');
  });

  it('asks for no vacuum test where none is asked for, and never calls one passed', async () => {
    expect(textOf(await print([exampleCover()]))).toContain('Vacuum: 60 s or more');
    const without = textOf(await print([exampleCover({ vacuum: null })]));
    expect(without).toContain('Vacuum: not asked for here');
    expect(without).not.toContain('pass');
  });

  it('gives degrees from grid north where no road bearing is known', async () => {
    const text = textOf(await print([exampleCover({ roadBearingDeg: null })]));
    expect(text).toContain('thick side 6° from grid north');
    expect(text).not.toContain('o’clock');
  });

  it.each(['letter', 'a4'] as const)(
    'keeps the longest names and twelve rings inside the page, %s',
    async (size) => {
      const bytes = await print([longest], { size });
      const [width, height] = pointsOf[size];
      for (const word of wordsOf(bytes)) {
        expect(word.left, word.text).toBeGreaterThan(30);
        expect(word.right, word.text).toBeLessThan(width - 30);
        expect(word.top, word.text).toBeGreaterThan(20);
        expect(word.bottom, word.text).toBeLessThan(height - 20);
      }
      const text = textOf(bytes);
      expect(text.replaceAll(' ', '')).toContain(longest.structure.id);
      expect(text).toMatch(/12 Taper/);
      expect(text.match(/used/g)).toHaveLength(13);
    },
  );

  it('prints a photo, and everything else, without a colour', async () => {
    const bytes = await readFile(new URL('./red-and-blue.png', import.meta.url));
    const without = coloursOf(await print([exampleCover()]));
    const with_ = coloursOf(
      await print([exampleCover({ photo: { why: null, bytes, caption: 'Casting, lid off' } })]),
    );
    for (const each of [without, with_]) expect(each.mostSaturated).toBeLessThanOrEqual(1);
    expect(with_.greys).toBeGreaterThan(without.greys + 1000);
  });

  it.each([
    ['cut off', 'red-and-blue.png', 60, 'does not print'],
    ['no picture', 'sheet.test.ts', 5000, 'does not print'],
  ])('prints words in place of a photo that is %s', async (_, name, length, words) => {
    const bytes = (await readFile(new URL(`./${name}`, import.meta.url))).subarray(0, length);
    const text = textOf(await print([exampleCover({ photo: { why: null, bytes, caption: '' } })]));
    expect(text).toContain(words);
    expect(text).toContain('Date and time');
  });

  it('prints words in place of a damaged or huge JPEG', async () => {
    const start = Buffer.from([0xff, 0xd8, 0xff, 0xe0]);
    const damaged = Buffer.concat([start, Buffer.alloc(60)]);
    expect(
      textOf(await print([exampleCover({ photo: { why: null, bytes: damaged, caption: '' } })])),
    ).toContain('damaged');
    const huge = Buffer.concat([start, Buffer.alloc(5_000_000)]);
    expect(textOf(await print([exampleCover({ photo: { why: null, bytes: huge, caption: '' } })]))).toContain(
      'too large to print (5.0 MB)',
    );
  });

  it('writes letters beyond the Latin ones and marks what no font has', async () => {
    const structure = { ...long.structure, id: 'Шахта-7', street: 'Łódzka Straße', owner: '水' };
    const text = textOf(await print([exampleCover({ structure })]));
    expect(text).toContain('Шахта-7');
    expect(text).toContain('Łódzka Straße');
    expect(text).toContain('?. Sanitary manhole');
  });
});

describe('a long document', () => {
  it('is drawn as it is read, and not before', async () => {
    let drawn = 0;
    async function* pages() {
      for (let sheet = 0; sheet < 30; sheet += 1) {
        yield (paper: Paper) => {
          drawn += 1;
          drawSheet(paper, exampleCover(), exampleSetting);
        };
      }
    }
    const bytes = printPages({ title: 'Night', size: 'a4', printedAt: exampleSetting.printedAt }, pages());
    await bytes.next();
    await bytes.next();
    expect(drawn).toBe(2);
    await bytes.return(undefined);
    expect(drawn).toBe(2);
  });
});

describe.skipIf(!hasPoppler)('the sheet of a valve box', () => {
  it('has no rings, and asks for plumb over the nut', async () => {
    const structure = { ...long.structure, adjustment: 'telescoping' as const, kind: 'valveBox' };
    const text = textOf(
      await print([exampleCover({ structure, plan: { ...plan, stack: [], residual: null } })]),
    );
    expect(text).toContain('Turn up 2 3⁄8 in');
    expect(text).toContain('Screw or slide top: no rings');
    expect(text).toContain('plumb over the nut');
    expect(text.match(/used/g)).toHaveLength(1);
  });
});
