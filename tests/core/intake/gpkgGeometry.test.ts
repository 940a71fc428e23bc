import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readGpkgGeometry } from '#core/intake/gpkgGeometry.ts';
import { readWkb } from '#core/intake/wkb.ts';

const hex = (text: string) => Uint8Array.from(Buffer.from(text.replaceAll(' ', ''), 'hex'));

/** Well-known binary of POINT (2 4), the example of OGC 06-103r4, 8.2: little and big endian. */
const littlePoint = '01 01000000 0000000000000040 0000000000001040';
const bigPoint = '00 00000001 4000000000000000 4010000000000000';

describe('well-known binary', () => {
  it.each([littlePoint, bigPoint])('reads POINT (2 4) in either byte order', (text) => {
    expect(readWkb(hex(text))).toEqual({ parts: [{ type: 'point', position: [2, 4, null] }], fault: null });
  });

  it.each([
    ['ISO Z', '01 e9030000'],
    ['with the flag of PostGIS', '01 01000080'],
  ])('reads a height, %s', (_, head) => {
    const body = '0000000000000040 0000000000001040 000000000000f03f';
    expect(readWkb(hex(head + body)).parts).toEqual([{ type: 'point', position: [2, 4, 1] }]);
  });

  it('leaves measures out', () => {
    expect(readWkb(hex('01 d1070000 0000000000000040 0000000000001040 000000000000f03f')).parts).toEqual([
      { type: 'point', position: [2, 4, null] },
    ]);
  });

  it('takes a point of NaN for the empty point', () => {
    expect(readWkb(hex('01 01000000 000000000000f87f 000000000000f87f'))).toEqual({ parts: [], fault: null });
  });

  it('refuses counts beyond the bytes, curves, and collections too deep', () => {
    expect(readWkb(hex('01 02000000 ffffffff')).fault).toContain('claims more');
    expect(readWkb(hex('01 08000000 00000000')).fault).toContain('curves');
    expect(readWkb(hex('01 07000000 01000000'.repeat(20) + littlePoint)).fault).toContain('deep');
  });
});

describe('a GeoPackage geometry', () => {
  it('is read behind its header and envelope', () => {
    const header = '4750 00 03 40710000';
    const envelope = '0000000000000040 0000000000000040 0000000000001040 0000000000001040';
    expect(readGpkgGeometry(hex(header + envelope + littlePoint))).toEqual({
      srsId: 28992,
      parts: [{ type: 'point', position: [2, 4, null] }],
      fault: null,
    });
  });

  it('may be empty', () => {
    expect(readGpkgGeometry(hex('4750 00 11 40710000'))).toEqual({ srsId: 28992, parts: [], fault: null });
  });

  it('is refused when it is none', () => {
    expect(readGpkgGeometry(hex('0000')).fault).not.toBeNull();
    expect(readGpkgGeometry(hex('4750 00 0f 40710000')).fault).toContain('envelope');
    expect(readGpkgGeometry(hex('4750 00 21 40710000')).fault).toContain('extended');
  });

  it('never throws, whatever bytes come', () => {
    const valid = hex(
      `4750000140710000 01 06000000 01000000 01 03000000 01000000 04000000${'0000000000001040'.repeat(8)}`,
    );
    fc.assert(
      fc.property(
        fc.oneof(
          fc.uint8Array({ maxLength: 200 }),
          fc.array(fc.tuple(fc.nat(valid.length - 1), fc.nat(255)), { maxLength: 6 }).map((changes) => {
            const copy = valid.slice();
            for (const [at, byte] of changes) copy[at] = byte;
            return copy;
          }),
        ),
        (bytes) => {
          expect(readGpkgGeometry(bytes).parts.length).toBeLessThan(100);
        },
      ),
      { numRuns: 2000 },
    );
  });
});
