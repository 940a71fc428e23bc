import { useState } from 'preact/hooks';
import { formatSmall } from '#core/units/format.ts';
import type { ProjectPlots, StreetRemaining } from '#shared/plots.ts';
import { StreetRange } from '../../drawings/street-range.tsx';
import { remainingFinding, streetName } from '../../plots/words.ts';
import { show } from '../../state.ts';
import type { Units } from '../../units.ts';

const fewStreets = 12;

/** Raise left to the chimney limit, street by street, least first; a street leads to its covers. */
export function Streets({ plots, units }: { plots: ProjectPlots; units: Units }) {
  const [isAll, setAll] = useState(false);
  const { remainingByStreet: all, streetCount } = plots;
  const rows = isAll ? all : all.slice(0, fewStreets);
  const values = all.flatMap(({ leastM, greatestM }) => (leastM === null ? [] : [leastM, greatestM!]));
  const span = [Math.min(0, ...values), Math.max(0.01, ...values)] as const;
  return (
    <section class="plot-part" aria-label="Raise left by street">
      <h2>Raise left by street</h2>
      <p class="plot-finding">{remainingFinding(plots, units)}</p>
      <svg width="0" height="0" aria-hidden="true" class="hidden">
        <defs>
          <pattern
            id="past-limit"
            width="6"
            height="6"
            patternUnits="userSpaceOnUse"
            patternTransform="rotate(45)"
          >
            <rect width="6" height="6" fill="var(--stop-tint)" />
            <path d="M0 0V6" stroke="var(--stop)" stroke-width="1.6" />
          </pattern>
        </defs>
      </svg>
      <ul class="street-rows">
        {rows.map((row) => (
          <StreetRow key={row.street} row={row} span={span} units={units} />
        ))}
      </ul>
      <p class="quiet">
        From least to greatest; the box holds the middle half, the tick is the median. The upright line is the
        chimney limit{span[0] < 0 && ', hatched past it'}.
      </p>
      {all.length > fewStreets && (
        <button type="button" class="link" onClick={() => setAll(!isAll)}>
          {isAll ? `Only the ${fewStreets} with least` : `All ${all.length} streets`}
        </button>
      )}
      {streetCount > all.length && isAll && (
        <p class="quiet">
          The {all.length} with least of {streetCount.toLocaleString('en')}.
        </p>
      )}
    </section>
  );
}

interface RowProps {
  row: StreetRemaining;
  span: readonly [number, number];
  units: Units;
}

function StreetRow({ row, span, units }: RowProps) {
  const { street, covers, unknown, pastLimit, medianM } = row;
  const notes = [
    medianM === null ? 'no rim measured' : `median ${formatSmall(medianM, units.small)}`,
    pastLimit > 0 ? `${pastLimit} past` : '',
    unknown > 0 && medianM !== null ? `${unknown} not known` : '',
  ].filter(Boolean);
  return (
    <li>
      {street === null ? (
        <span>{streetName(street)}</span>
      ) : (
        <button
          type="button"
          class="link"
          onClick={() => show({ page: 'map', only: { street }, street, cover: null, at: null })}
        >
          {street}
        </button>
      )}
      <StreetRange row={row} span={span} />
      <span class="street-notes">
        <b>{covers}</b> <span class="hidden">covers: </span>
        <span class="quiet">{notes.join(', ')}</span>
      </span>
    </li>
  );
}
