import { describe, expect, it } from 'vitest';
import type { AnyKept, RecordKind } from '#core/field/facts.ts';
import { askFor, mayChangeCard } from '../../../web/field/concerns.ts';
import type { StoredNight } from '../../../web/field/database.ts';
import { tapedCard } from './card.ts';

const night = {
  key: 'night',
  agency: 'agency',
  bundle: { cards: [tapedCard()], records: [], lastSeq: 7 },
} as unknown as StoredNight;
const id = tapedCard().structure.id;
const came = (lastSeq: number, structureIds: string[]) => ({ projectId: 'p', lastSeq, structureIds });
const revision = { projectId: 'p', inputRevision: 2, planRevision: 1 };

describe('what a notice makes a phone ask for', () => {
  it('is nothing after records of another night’s covers, or those that it has', () => {
    expect(askFor(came(8, ['MH-999']), night)).toBeNull();
    expect(askFor(came(7, [id]), night)).toBeNull();
    expect(askFor(came(7, []), night)).toBeNull();
  });

  it('is the records alone after those of its own covers, or of too many to be named', () => {
    expect(askFor(came(8, ['MH-999', id]), night)).toEqual({ isNight: false });
    expect(askFor(came(8, []), night)).toEqual({ isNight: false });
  });

  it('is the night where the office changed something, and not where records alone did', () => {
    expect(askFor(revision, night)).toEqual({ isNight: true });
    expect(askFor({ ...revision, byRecords: true }, night)).toBeNull();
  });
});

describe('records that came', () => {
  const record = (kind: RecordKind, structureId = id) => ({ kind, structureId }) as AnyKept;

  it('ask for the cards anew where a rim was checked or somebody gave his word on it, at a cover of the night', () => {
    expect(mayChangeCard([record('note'), record('photo'), record('frameSet')], night)).toBe(false);
    for (const kind of ['rimChecked', 'accepted', 'withdrawn', 'settled'] as const)
      expect(mayChangeCard([record(kind)], night)).toBe(true);
    expect(mayChangeCard([record('rimChecked', 'MH-999')], night)).toBe(false);
  });
});
