import { useState } from 'preact/hooks';
import { rangeTitles, rangeWords } from '../range-words.ts';
import { type RangeField, rangeFields } from '../ranges.ts';
import { project, show, view } from '../state.ts';
import { unitsOf } from '../units.ts';
import { type OnlyField, onlyFields } from '../url.ts';
import { NightLinks } from '../views/paper-links.tsx';
import { kindWords } from '../words.ts';
import { rows } from './rows.ts';

const words: Record<OnlyField, string> = {
  kind: 'Kind',
  owner: 'Owner',
  street: 'Street',
  crew: 'Crew',
  night: 'Night',
};

const shown = (field: OnlyField, value: string) =>
  value === '' ? `no ${words[field].toLowerCase()}` : field === 'kind' ? kindWords(value) : value;

function hold(field: OnlyField, value: string | undefined): void {
  const { [field]: _, ...rest } = view.peek().only;
  show({ only: value === undefined ? rest : { ...rest, [field]: value } });
}

/** What every row has, each to be taken away, and a way to add another. */
export function FilterChips() {
  const { only } = view.value;
  return (
    <div class="chips">
      {onlyFields.map((field) => {
        const value = only[field];
        if (value === undefined) return null;
        return (
          <button key={field} type="button" class="chip" onClick={() => hold(field, undefined)}>
            <span class="hidden">Take away the filter </span>
            {words[field]}: <b>{shown(field, value)}</b> <span aria-hidden="true">×</span>
          </button>
        );
      })}
      <RangeChips />
      <NightLinks />
      <AddFilter />
    </div>
  );
}

/** What a bar of a plot holds the list to. */
function RangeChips() {
  const now = project.value;
  const { ranges } = view.value;
  if (!now) return null;
  const letGo = (field: RangeField) => {
    const { [field]: _, ...rest } = view.peek().ranges;
    show({ ranges: rest });
  };
  return (
    <>
      {rangeFields.map((field) => {
        const range = ranges[field];
        if (!range) return null;
        return (
          <button key={field} type="button" class="chip" onClick={() => letGo(field)}>
            <span class="hidden">Take away the filter </span>
            {rangeTitles[field]}: <b>{rangeWords(range, unitsOf(now))}</b> <span aria-hidden="true">×</span>
          </button>
        );
      })}
    </>
  );
}

function AddFilter() {
  const [field, setField] = useState<OnlyField | null>(null);
  const [value, setValue] = useState('');
  const add = (event: Event) => {
    event.preventDefault();
    if (field === null || (value.trim() === '' && field !== 'crew' && field !== 'night')) return;
    hold(field, value.trim());
    setField(null);
    setValue('');
  };
  return (
    <form class="add-filter" onSubmit={add}>
      <label>
        <span class="hidden">Filter by</span>
        <select
          value={field ?? ''}
          onChange={(event) => {
            setField((event.currentTarget.value || null) as OnlyField | null);
            setValue('');
          }}
        >
          <option value="">Filter by…</option>
          {onlyFields.map((one) => (
            <option key={one} value={one}>
              {words[one]}
            </option>
          ))}
        </select>
      </label>
      {field !== null && (
        <>
          <label>
            <span class="hidden">{words[field]}</span>
            <input
              type={field === 'night' ? 'date' : 'text'}
              list="filter-values"
              value={value}
              placeholder={field === 'crew' ? 'blank: no crew' : words[field]}
              onInput={(event) => setValue(event.currentTarget.value)}
            />
          </label>
          <datalist id="filter-values">
            {valuesOf(field).map((one) => (
              <option key={one} value={one} />
            ))}
          </datalist>
          <button type="submit" class="link">
            Filter
          </button>
        </>
      )}
    </form>
  );
}

/** Values among the rows that are here: suggestions, not all that there are. */
function valuesOf(field: OnlyField): string[] {
  const values = new Set(rows.value.items.map((row) => row[field] ?? ''));
  return [...values].filter(Boolean).sort().slice(0, 60);
}
