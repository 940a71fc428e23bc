import { coversOf, streetsOf } from '../drawings/unrolled-scale.ts';
import { UnrolledStreet } from '../drawings/unrolled-street.tsx';
import { ChooseSeveral } from '../find/assign-panel.tsx';
import { FilterChips } from '../find/filter-chips.tsx';
import { GoTo } from '../find/go-to.tsx';
import { fewCovers, isFiltered, matching, rows } from '../find/rows.ts';
import { SearchBox } from '../find/search-box.tsx';
import { openCover, ordered, selected, shownIds, unrolledStreet } from '../selection.ts';
import { noFilter, project, show, view } from '../state.ts';
import { unitsOf } from '../units.ts';
import { PackLink } from './paper-links.tsx';

/** The street unrolled: the open cover's own street, else the chosen one, else the one with most covers. */
export function StreetPanel() {
  const now = project.value;
  if (!now) return null;
  const streets = streetsOf(ordered.value);
  const wanted = selected.value?.street ?? view.value.street;
  const few = streets.find((one) => one.street === wanted)?.street ?? streets[0]?.street;
  const street = now.coverCount > fewCovers ? unrolledStreet.value : few;
  return (
    <section class="street-panel" aria-label="The street unrolled, and search">
      <header>
        {street && <h2 class="label">Rim today against finished grade</h2>}
        {street && <StreetChoice streets={streets} chosen={street} />}
        {street && <PackLink street={street} />}
        <FilterChips />
        <ChooseSeveral />
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
  const all = project.value?.coverCount ?? 0;
  const shownCount = matching.value ?? `${rows.value.items.length} or more`;
  return (
    <div class="search">
      <GoTo />
      <SearchBox />
      <span class="quiet" role="status">
        {shownCount} of {all}
        <span class="hidden"> covers shown</span>
      </span>
      {isFiltered.value && (
        <button type="button" class="link" onClick={() => show(noFilter)}>
          Show all
        </button>
      )}
    </div>
  );
}
