import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  emptyOverlay,
  emptyTakeoff,
  emptyView,
  type OverlayView,
  readView,
  type ViewState,
  writeView,
} from '../../web/url.ts';

const text = fc.string({ minLength: 1, maxLength: 20, unit: 'binary' });
const word = fc.constantFrom('raise', 'lower', 'offGrade', 'plated');

const corner = fc.tuple(
  fc.integer({ min: -180_000_000, max: 180_000_000 }).map((n) => n / 1e6),
  fc.integer({ min: -90_000_000, max: 90_000_000 }).map((n) => n / 1e6),
);

const overlays: fc.Arbitrary<OverlayView> = fc.record({
  lay: fc.constantFrom(null, '1 1/2 in', '50 mm'),
  mill: fc.constantFrom(null, '0 in', '3/4 in'),
  streets: fc.uniqueArray(text, { maxLength: 4 }),
  area: fc.oneof(fc.constant<OverlayView['area']>([]), fc.array(corner, { minLength: 3, maxLength: 8 })),
  isRegister: fc.boolean(),
  answer: fc.constantFrom(null, 'yes', 'no', 'unknown'),
  order: fc.constantFrom(null, 'id', '-left'),
});

const end = fc.option(fc.integer({ min: -2_000_000, max: 2_000_000 }).map((n) => n / 1e6));
const range = fc
  .record({ from: end, below: end })
  .filter(({ from, below }) => from !== null || below !== null);

const views: fc.Arbitrary<ViewState> = fc.record({
  page: fc.constantFrom('map' as const, 'surveys' as const),
  project: fc.option(text),
  import: fc.option(text),
  cover: fc.option(text),
  filter: fc.uniqueArray(word),
  search: fc.string({ maxLength: 20, unit: 'binary' }),
  only: fc.record(
    {
      kind: text,
      owner: text,
      street: text,
      crew: fc.constantFrom('', 'North crew'),
      night: fc.constantFrom('', '2027-05-04'),
    },
    { requiredKeys: [] },
  ),
  ranges: fc.record({ buildup: range, rim: range }, { requiredKeys: [] }),
  from: fc.option(text),
  street: fc.option(text),
  sort: fc.option(fc.constantFrom('cover', '-cover', '-worst')),
  at: fc.option(
    fc.record({
      latitude: fc.integer({ min: -85_000_000, max: 85_000_000 }).map((n) => n / 1e6),
      longitude: fc.integer({ min: -180_000_000, max: 180_000_000 }).map((n) => n / 1e6),
      zoom: fc.integer({ min: 0, max: 2200 }).map((n) => n / 100),
    }),
  ),
  overlay: fc.constant(emptyOverlay),
  takeoff: fc.constant(emptyTakeoff),
});

describe('the address', () => {
  it('gives back what the takeoff is divided by, on its page', () => {
    for (const by of ['street', 'night', 'crew'] as const)
      for (const isShort of [true, false]) {
        const view: ViewState = { ...emptyView, page: 'takeoff', takeoff: { by, isShort, area: [] } };
        expect(readView(writeView(view))).toEqual(view);
        expect(writeView({ ...view, page: 'map' })).toBe('');
      }
    expect(readView('?page=takeoff&by=owner&only=all').takeoff).toEqual(emptyTakeoff);
  });

  it('gives back the area of a takeoff on its page, and on no other', () => {
    fc.assert(
      fc.property(fc.array(corner, { minLength: 3, maxLength: 8 }), (area) => {
        const view: ViewState = { ...emptyView, page: 'takeoff', takeoff: { ...emptyTakeoff, area } };
        const address = writeView(view);
        expect(readView(address)).toEqual(view);
        expect(readView(address.replace('takeoff', 'overlay')).takeoff.area).toEqual([]);
        expect(readView(address.replace('takeoff', 'overlay')).overlay.area).toEqual(area);
      }),
    );
  });

  it('gives back the overlay that is asked about, on its page', () => {
    fc.assert(
      fc.property(overlays, (overlay) => {
        const view = { ...emptyView, page: 'overlay' as const, overlay };
        expect(readView(writeView(view))).toEqual(view);
        expect(writeView({ ...view, page: 'map' })).toBe('');
      }),
    );
  });

  it('gives back every view it was made from', () => {
    fc.assert(
      fc.property(views, (view) => {
        expect(readView(writeView(view))).toEqual({
          ...view,
          only: { ...view.only },
          ranges: { ...view.ranges },
        });
      }),
    );
  });

  it('is empty for the view that the page opens with', () => {
    expect(writeView(emptyView)).toBe('');
    expect(readView('')).toEqual(emptyView);
  });

  it('can be read by people', () => {
    const view = {
      ...emptyView,
      cover: 'MH 12',
      filter: ['raise', 'lower'],
      at: { latitude: 35.5, longitude: -80, zoom: 16 },
    };
    expect(writeView(view)).toBe('?cover=MH%2012&status=raise,lower&at=35.500000,-80.000000,16.00');
  });

  it.each(['', '..', '3', 'a..b', '1..2..3', '1..Infinity'])(
    'a range that is none, "%s", is left out',
    (text) => {
      expect(readView(`?buildup=${text}`).ranges).toEqual({});
    },
  );

  it('has no more digits of a range than tell it from the next', () => {
    const view = { ...emptyView, ranges: { rim: { from: 0.1 + 0.2, below: 1 / 3 } } };
    expect(writeView(view)).toBe('?rim=0.3..0.333333333');
  });

  it.each(['x', '1,2', '95,10,3', '1,2,99', '1,,3', ',,'])(
    'a place that is none, "%s", falls back to all',
    (at) => {
      expect(readView(`?at=${at}`).at).toBeNull();
    },
  );
});
