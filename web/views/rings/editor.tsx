import { useState } from 'preact/hooks';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { idFrom } from '../../grade/outline.ts';
import {
  type CatalogueDraft,
  catalogueOfDraft,
  emptyRing,
  fileOfDraft,
  type ownFields,
  type RingDraft,
  ringFields,
} from '../../rings/draft.ts';
import { FaultNote } from '../notes.tsx';

interface Props {
  draft: CatalogueDraft;
  change: (next: CatalogueDraft | null) => void;
  store: (catalogue: RingCatalogue) => Promise<void>;
  /** Ids of catalogues that are there. */
  taken: readonly string[];
}

/** Stored catalogues never change, since plans rest on them: what is changed here is stored as a new one. */
export function CatalogueEditor({ draft, change, store, taken }: Props) {
  const [wrong, setWrong] = useState<string[]>([]);
  const put = (part: Partial<CatalogueDraft>) => change({ ...draft, ...part });
  const submit = (event: Event) => {
    event.preventDefault();
    const read = catalogueOfDraft(draft, idFrom(draft.name, taken, 'rings'));
    setWrong(Array.isArray(read) ? read : []);
    if (!Array.isArray(read)) void store(read);
  };
  return (
    <form class="catalogue" onSubmit={submit} aria-label="Ring catalogue">
      <OwnFields draft={draft} put={put} />
      <RingTable draft={draft} put={put} />
      {wrong.length > 0 && (
        <FaultNote fault={{ message: 'Not stored: something is missing or wrong.', fields: wrong }} />
      )}
      <p class="quiet">
        Plans rest on their catalogue as it was: this is stored as a new one, and the project takes its rings
        from it.
      </p>
      <p class="foot-actions">
        <button type="submit" class="button main">
          Store the catalogue
        </button>
        <button type="button" class="button" onClick={() => download(draft)}>
          Save as a file
        </button>
        <button type="button" class="button" onClick={() => change(null)}>
          Leave it
        </button>
      </p>
    </form>
  );
}

interface PartProps {
  draft: CatalogueDraft;
  put: (part: Partial<CatalogueDraft>) => void;
}

function OwnFields({ draft, put }: PartProps) {
  const { unit } = draft;
  const field = (of: (typeof ownFields)[number], words: string) => (
    <label>
      <span>{words}</span>
      <input
        type="text"
        inputMode="decimal"
        size={8}
        value={draft[of]}
        onInput={({ currentTarget }) => put({ [of]: currentTarget.value })}
      />
    </label>
  );
  return (
    <div class="catalogue-fields">
      <label>
        <span>Name</span>
        <input
          type="text"
          maxLength={200}
          value={draft.name}
          onInput={({ currentTarget }) => put({ name: currentTarget.value })}
        />
      </label>
      <label>
        <span>Unit of all sizes</span>
        <select value={unit} onChange={({ currentTarget }) => put({ unit: currentTarget.value as 'in' })}>
          <option value="in">inches</option>
          <option value="mm">millimetres</option>
        </select>
      </label>
      {field('maxRings', 'Rings in a stack at most')}
      {field('maxChimney', `Chimney at most, ${unit}`)}
      {field('base', `Joint on the seat, ${unit}`)}
      {field('between', `Joint between rings, ${unit}`)}
      {field('top', `Joint under the frame, ${unit}`)}
      {field('indexPositions', 'Marks round a taper, 0 = any angle')}
      <label>
        <span>First mark points</span>
        <select
          value={draft.indexFrom}
          onChange={({ currentTarget }) => put({ indexFrom: currentTarget.value as 'road' })}
        >
          <option value="road">up-station</option>
          <option value="north">to grid north</option>
        </select>
      </label>
    </div>
  );
}

const headings: Readonly<Record<(typeof ringFields)[number], (unit: string) => string>> = {
  id: () => 'Ring',
  thin: (unit) => `Thin side, ${unit}`,
  thick: (unit) => `Thick side, ${unit}`,
  outerDiameter: (unit) => `Across, ${unit}`,
  maxPerStack: () => 'In a stack at most',
  cost: () => 'Price',
  mass: (unit) => (unit === 'in' ? 'Weight, lb' : 'Mass, kg'),
};

function RingTable({ draft, put }: PartProps) {
  const putRing = (at: number, part: Partial<RingDraft>) =>
    put({ rings: draft.rings.map((ring, index) => (index === at ? { ...ring, ...part } : ring)) });
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard. */}
      <section class="wide" tabIndex={0} aria-label="Rings of the catalogue">
        <table>
          <thead>
            <tr>
              {ringFields.map((field) => (
                <th key={field} scope="col">
                  {headings[field](draft.unit)}
                </th>
              ))}
              <th scope="col">
                <span class="hidden">Remove</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {draft.rings.map((ring, at) => (
              <tr key={at}>
                {ringFields.map((field) => (
                  <td key={field}>
                    <input
                      type="text"
                      size={field === 'id' ? 12 : 7}
                      aria-label={`${headings[field](draft.unit)}, row ${at + 1}`}
                      placeholder={field === 'thick' ? ring.thin : ''}
                      value={ring[field]}
                      onInput={({ currentTarget }) => putRing(at, { [field]: currentTarget.value })}
                    />
                  </td>
                ))}
                <td>
                  <button
                    type="button"
                    class="link"
                    disabled={draft.rings.length === 1}
                    onClick={() => put({ rings: draft.rings.filter((_, index) => index !== at) })}
                  >
                    Remove<span class="hidden"> row {at + 1}</span>
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <p>
        <button type="button" class="link" onClick={() => put({ rings: [...draft.rings, emptyRing] })}>
          Add a ring
        </button>{' '}
        <span class="quiet">A blank thick side is a flat ring. Fractions may be written: 1 1/2.</span>
      </p>
    </>
  );
}

function download(draft: CatalogueDraft): void {
  const text = `${JSON.stringify(fileOfDraft(draft), null, 1)}\n`;
  const address = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
  const link = document.createElement('a');
  link.href = address;
  link.download = `${idFrom(draft.name, [], 'rings')}.json`;
  link.click();
  URL.revokeObjectURL(address);
}
