import { describe, expect, it } from 'vitest';
import { type Structure, StructurePatch } from '#shared/structure.ts';
import { canUndo } from '../../web/edit/editing.ts';
import { draftText, fieldOf, fields, patchOf, readField, say, textOf } from '../../web/edit/fields.ts';
import { eventWords } from '../../web/edit/history-words.ts';
import { readLevelled } from '../../web/edit/levelled.ts';
import { unitsOf } from '../../web/units.ts';

const inches = unitsOf({ displayUnit: 'in', elevationUnit: 'us-ft' });
const metric = unitsOf({ displayUnit: 'mm', elevationUnit: 'm' });
const field = (key: string) => fieldOf(key)!;

/** An invented manhole. */
const structure: Structure = {
  id: 'MH-1',
  kind: 'sanitary',
  owner: 'Sewer Division',
  street: 'Weir Parkway',
  lon: 0,
  lat: 0,
  crs: 'EPSG:2264',
  eastingM: 0,
  northingM: 0,
  seatElevationM: 200,
  seatGradientEast: 0,
  seatGradientNorth: 0,
  rimElevationM: null,
  frameHeightM: 0.1778,
  rimDiameterM: 0.66,
  roadBearingDeg: null,
  setDownM: 0,
  adjustment: 'rings',
  condition: { located: true, chimneyUnsound: null, frameUnsound: false },
  structureDepthM: null,
  structureDiameterM: null,
  accessibleRoute: null,
  updatedAt: '2026-01-01T00:00:00Z',
  version: 1,
};

describe('a register entry that is changed on the card', () => {
  it('has the limits of the contract at each field', () => {
    for (const { key, above, least, most } of fields) {
      const schema = (StructurePatch.properties as unknown as Record<string, Record<string, unknown>>)[key];
      if (schema?.type !== 'number') continue;
      expect([key, above, least, most]).toEqual([
        key,
        schema.exclusiveMinimum,
        schema.minimum,
        schema.maximum,
      ]);
    }
  });

  it('leads to every field of the contract', () => {
    const keys = new Set<string>(fields.map(({ key }) => key));
    const wanted = Object.keys(StructurePatch.properties).filter((key) => key !== 'condition');
    expect(wanted.filter((key) => !keys.has(key))).toEqual([]);
  });

  it('reads a bare number in the unit that the field names, and another unit where one is written', () => {
    expect(readField(field('frameHeightM'), '7 1/2', inches)).toEqual({ value: 7.5 * 0.0254 });
    expect(readField(field('frameHeightM'), '190 mm', inches)).toEqual({ value: 190 * 0.001 });
    expect(readField(field('setDownM'), '−1/4', inches)).toEqual({ value: -0.25 * 0.0254 });
    // 1 US survey foot = 1200/3937 m (85 FR 62698).
    expect(readField(field('seatElevationM'), '3937', inches)).toEqual({ value: 1200 });
    expect(readField(field('roadBearingDeg'), '17.5°', inches)).toEqual({ value: 17.5 });
  });

  it('says what is wrong with the field, its limit and the unit', () => {
    expect(readField(field('frameHeightM'), '0', inches)).toEqual({ fault: 'has to be more than 0.00 in' });
    expect(readField(field('frameHeightM'), '2001', metric)).toEqual({ fault: 'can be 2000 mm at most' });
    expect(readField(field('kind'), ' ', inches)).toEqual({ fault: 'cannot be blank' });
    expect(readField(field('rimDiameterM'), 'wide', inches)).toHaveProperty('fault');
    expect(readField(field('roadBearingDeg'), '361', inches)).toEqual({ fault: 'can be 360.0° at most' });
  });

  it('sends only what was touched and differs, and of the condition all of it', () => {
    const asItWas = textOf(field('frameHeightM'), structure, inches);
    expect(patchOf(structure, { frameHeightM: asItWas, owner: structure.owner ?? '' }, inches)).toEqual({
      patch: {},
    });
    const { patch } = patchOf(
      structure,
      { owner: 'Water Division', chimneyUnsound: 'true' },
      inches,
    ) as never;
    expect(patch).toEqual({
      owner: 'Water Division',
      condition: { ...structure.condition, chimneyUnsound: true },
    });
  });

  it('lets a seat be unknown, and be entered where it was', () => {
    expect(patchOf(structure, { seatElevationM: ' ' }, metric)).toEqual({ patch: { seatElevationM: null } });
    const unknown = { ...structure, seatElevationM: null };
    expect(textOf(field('seatElevationM'), unknown, metric)).toBe('');
    expect(patchOf(unknown, { seatElevationM: '' }, metric)).toEqual({ patch: {} });
    expect(patchOf(unknown, { seatElevationM: '99.7' }, metric)).toEqual({ patch: { seatElevationM: 99.7 } });
    expect(say(field('seatElevationM'), null, metric)).toBe('never measured');
  });

  it('names every wrong field at once', () => {
    expect(patchOf(structure, { frameHeightM: 'x', kind: '' }, inches)).toEqual({
      faults: { frameHeightM: expect.stringContaining('"x"'), kind: 'cannot be blank' },
    });
  });

  it('shows a figure so that it reads back within what the register is measured to', () => {
    for (const units of [inches, metric]) {
      const text = draftText(field('frameHeightM'), 0.1778, units);
      const read = readField(field('frameHeightM'), text, units) as { value: number };
      expect(Math.abs(read.value - 0.1778)).toBeLessThan(2e-5);
    }
  });

  it('is said in the history with the units of the project', () => {
    const event = { id: 7, at: '2026-01-01T00:00:00Z', kind: 'changed' as const };
    const detail = {
      frameHeightM: [0.2032, 0.1778],
      condition: [
        { located: null, chimneyUnsound: null, frameUnsound: null },
        { located: true, chimneyUnsound: null, frameUnsound: null },
      ],
    };
    expect(eventWords({ ...event, detail }, inches)).toBe(
      'Changed: frame height 8.00 in to 7.00 in, located not known to yes',
    );
    expect(eventWords({ ...event, detail: { owner: ['A', null], undoes: 6 } }, inches)).toBe(
      'Taken back: owner A to blank',
    );
    const given = { crew: [null, 'North'], project: 'town', assignment: '0b1c' };
    expect(eventWords({ ...event, detail: given }, inches)).toBe('Changed: crew blank to North');
    expect(say(field('seatElevationM'), 100, metric)).toBe('100.000 m');
  });

  it('can be taken back while it stands as it was made', () => {
    const event = { id: 7, at: '', kind: 'changed' as const, detail: { owner: ['A', structure.owner] } };
    expect(canUndo(event, structure)).toBe(true);
    expect(canUndo(event, { ...structure, owner: 'Somebody else' })).toBe(false);
    // The database keeps the fields of an object in an order of its own.
    const was = { ...structure.condition, located: null };
    const made = Object.fromEntries(Object.entries(structure.condition).reverse());
    expect(canUndo({ ...event, detail: { condition: [was, made] } }, structure)).toBe(true);
    expect(canUndo({ ...event, kind: 'imported' }, structure)).toBe(false);
  });
});

describe('a levelled rim', () => {
  const typed = { date: '2027-05-04', rim: '710.25', pavement: '', who: ' North party ', note: '' };

  it('is read in the unit of elevations; a pavement that was not measured is none', () => {
    expect(readLevelled(typed, metric)).toEqual({
      body: { date: '2027-05-04', rimElevationM: 710.25, pavementElevationM: null, who: 'North party' },
    });
    const feet = readLevelled({ ...typed, pavement: '710.27' }, inches) as {
      body: { pavementElevationM: number };
    };
    expect(feet.body.pavementElevationM).toBeCloseTo((710.27 * 1200) / 3937, 9);
  });

  it('says each field that is missing or cannot be read', () => {
    expect(readLevelled({ ...typed, date: '', rim: '', pavement: 'low' }, metric)).toEqual({
      faults: {
        date: 'The day of the levelling is missing.',
        rim: 'The rim has no elevation.',
        pavement: expect.stringContaining('"low"'),
      },
    });
  });
});
