import { useEffect, useState } from 'preact/hooks';
import { statusOf } from '#shared/status.ts';
import { StatusSymbol } from '../../symbols/status-symbol.tsx';
import { covers, mapped } from '../night.ts';
import { DrivingOrder } from '../night-list.tsx';
import './map.css';

type NightMap = typeof import('./night-map.tsx').default;

/** Tonight's covers where they lie; the list beside it, or behind one touch, has the same covers. */
export function MapPage() {
  return (
    <>
      <nav class="crew-way" aria-label="Night">
        <a href="#/">Tonight’s list</a>
        {mapped.value !== null && (
          <a href={`#/${encodeURIComponent(mapped.value)}`}>Back to {mapped.value}</a>
        )}
      </nav>
      <main class="crew-map-page">
        <h1 class="crew-map-title">Map of tonight’s covers</h1>
        <Picture />
        <Signs />
        <section class="crew-map-list" aria-label="The same covers as a list">
          <DrivingOrder />
        </section>
      </main>
    </>
  );
}

/** The map itself is much code, which is fetched when it is first looked at. */
function Picture() {
  const [part, setPart] = useState<{ Map: NightMap } | null>(null);
  const [isLost, setLost] = useState(false);
  useEffect(() => {
    import('./night-map.tsx').then(
      (loaded) => setPart({ Map: loaded.default }),
      () => setLost(true),
    );
  }, []);
  if (isLost)
    return (
      <p class="crew-map-note" role="alert">
        The map is not on this phone yet: it comes with the next signal. The list has every cover.
      </p>
    );
  if (!part) return <p class="crew-map-note">Drawing the map ...</p>;
  return <part.Map key={mapped.value} chosen={mapped.value} />;
}

function Signs() {
  const codes = [...new Set(covers.value.flatMap(({ status }) => status ?? []))];
  return (
    <ul class="crew-map-signs" aria-label="Signs on the map">
      {codes.map((code) => (
        <li key={code}>
          <StatusSymbol status={code} size={24} />
          {statusOf(code).word}
        </li>
      ))}
    </ul>
  );
}
