import { coversOf, streetsOf } from '../drawings/unrolled-scale.ts';
import { UnrolledStreet } from '../drawings/unrolled-street.tsx';
import { openCover, ordered, selected, shown, shownIds } from '../selection.ts';
import { covers, project, show, view } from '../state.ts';
import { unitsOf } from '../units.ts';

/** The street unrolled: the open cover's own street, else the chosen one, else the one with most covers. */
export function StreetPanel() {
  const now = project.value;
  if (!now) return null;
  const streets = streetsOf(ordered.value);
  const wanted = selected.value?.street ?? view.value.street;
  const street = streets.find((one) => one.street === wanted)?.street ?? streets[0]?.street;
  return (
    <section class="street-panel" aria-label="The street unrolled, and search">
      <header>
        {street && <h2 class="label">Rim today against finished grade</h2>}
        {street && <StreetChoice streets={streets} chosen={street} />}
        <Search />
      </header>
      {street && (
        <UnrolledStreet
          street={street}
          covers={coversOf(ordered.value, street)}
          isShown={(id) => shownIds.value.has(id)}
          selected={view.value.cover}
          units={unitsOf(now)}
          onOpen={openCover}
        />
      )}
    </section>
  );
}

interface ChoiceProps {
  streets: { street: string; count: number }[];
  chosen: string;
}

function StreetChoice({ streets, chosen }: ChoiceProps) {
  if (streets.length === 1) return <span class="quiet">{chosen}</span>;
  return (
    <label>
      <span class="hidden">Street</span>
      <select
        value={chosen}
        onChange={(event) => show({ street: event.currentTarget.value, cover: null, sort: null })}
      >
        {streets.map(({ street, count }) => (
          <option key={street} value={street}>
            {street} ({count})
          </option>
        ))}
      </select>
    </label>
  );
}

function Search() {
  return (
    <div class="search">
      <label>
        <span class="hidden">Search covers</span>
        <input
          id="search"
          type="search"
          placeholder="Search cover, street, owner"
          value={view.value.search}
          onInput={(event) => show({ search: event.currentTarget.value }, 'replace')}
        />
      </label>
      <span class="quiet" role="status">
        {shown.value.length} of {covers.value.value?.length ?? 0}
        <span class="hidden"> covers shown</span>
      </span>
      {(view.value.filter.length > 0 || view.value.search !== '') && (
        <button type="button" class="link" onClick={() => show({ filter: [], search: '' })}>
          Show all
        </button>
      )}
    </div>
  );
}
