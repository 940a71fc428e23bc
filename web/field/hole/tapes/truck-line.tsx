import { useState } from 'preact/hooks';
import { Count } from '../keys/count.tsx';
import { ringName } from '../stack/ring-words.ts';
import { readTruck, type Truck, writeTruck } from '../truck.ts';
import type { Hole } from '../types.ts';

/** What is on the truck, counted once for the night; rings that go in are taken off. */
export function TruckLine({ hole, onChange }: { hole: Hole; onChange: () => void }) {
  const [truck, setTruck] = useState<Truck>(() => readTruck(hole));
  const [isOpen, setOpen] = useState(false);
  const rings = hole.card.ringCatalogue?.rings ?? [];
  if (rings.length === 0) return null;
  const change = (next: Truck) => {
    setTruck(next);
    writeTruck(hole, next);
    onChange();
  };
  const total = Object.values(truck ?? {}).reduce((sum, count) => sum + count, 0);
  return (
    <section class="truck" aria-label="On the truck">
      <button type="button" class="big line" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
        <b>On the truck:</b> {truck === null ? 'every ring, not counted' : `${total} rings counted`}
        <i aria-hidden="true">{isOpen ? '▴' : '▾'}</i>
      </button>
      {isOpen && (
        <>
          {rings.map(({ id }) => (
            <Count
              key={id}
              label={ringName(id, hole.card.ringCatalogue)}
              value={truck?.[id] ?? 0}
              onChange={(count) =>
                change({ ...(truck ?? Object.fromEntries(rings.map((ring) => [ring.id, 0]))), [id]: count })
              }
            />
          ))}
          {truck !== null && (
            <button type="button" class="big" onClick={() => change(null)}>
              Not counted: take every ring to be there
            </button>
          )}
        </>
      )}
    </section>
  );
}
