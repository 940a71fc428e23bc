import { describe, expect, it } from 'vitest';
import { isSeatRough } from '#core/field/seat.ts';
import { make } from './records.ts';

/** Two beads on a rough seat: common practice, no source. */
describe('a seat', () => {
  const rough = make('seatSeen', { surface: 'rough' });
  const even = make('seatSeen', { surface: 'even' });
  const bed = make('mortarBed', { thicknessM: 0.01, why: 'chipped', cureHours: 4 });

  it('is rough from the last look at it on', () => {
    expect(isSeatRough([])).toBe(false);
    expect(isSeatRough([make('backfilled', { material: 'gravel' })])).toBe(false);
    expect(isSeatRough([even, rough, make('note', { text: 'wet' })])).toBe(true);
    expect(isSeatRough([rough, even])).toBe(false);
  });

  it('is another one once a bed of mortar lies on it', () => {
    expect(isSeatRough([rough, bed])).toBe(false);
    expect(isSeatRough([rough, bed, rough])).toBe(true);
  });
});
