import { useState } from 'preact/hooks';
import { draft, setCorners, storeZone } from '../../grade/draft.ts';
import { readSize, readSizes, sizesText, sizeText } from '../../grade/lengths.ts';
import { faultOfOutline, outlineOfLine } from '../../grade/outline.ts';
import { lines } from '../../imports/laid.ts';
import type { Units } from '../../units.ts';

interface Typed {
  name: string;
  mill: string;
  lifts: string;
  setDown: string;
}

/** What is done in a zone, and where; what is wrong is said at Store and what was typed stays. */
export function ZoneForm({ units }: { units: Units }) {
  const { of, corners } = draft.value!;
  const [typed, setTyped] = useState<Typed>(() => ({
    name: of?.name ?? '',
    mill: of ? sizeText(of.millDepthM, units) : '',
    lifts: of ? sizesText(of.liftsM, units) : '',
    setDown: of?.setDownM ? sizeText(of.setDownM, units) : '',
  }));
  const [fault, setFault] = useState<string | null>(null);
  const store = (event: Event) => {
    event.preventDefault();
    const wrong = (corners && faultOfOutline(corners)) ?? storeTyped(typed, units);
    setFault(wrong);
  };
  const field = (of: keyof Typed, word: string, hint = '') => (
    <label>
      <span>{word}</span>
      <input
        type="text"
        value={typed[of]}
        placeholder={hint}
        onInput={({ currentTarget: { value } }) => setTyped({ ...typed, [of]: value })}
      />
    </label>
  );
  const [one, more] = units.smallUnit === 'in' ? ['1 1/2', '1 1/2, 2'] : ['40', '40, 60'];
  return (
    <form class="zone-form" onSubmit={store} aria-label={of ? `Change ${of.name}` : 'New zone'}>
      {field('name', 'Name')}
      {field('mill', `Mill depth, ${units.smallUnit}`, one)}
      {field('lifts', `Lifts, bottom first, ${units.smallUnit}`, more)}
      {field('setDown', `Rims set down, ${units.smallUnit}`)}
      {corners && <OutlineOfLine />}
      <p class="quiet">
        {corners
          ? `${corners.length} ${corners.length === 1 ? 'corner' : 'corners'} on the map below.`
          : 'This outline has parts or holes and stays as it was stored.'}
      </p>
      {fault && (
        <p class="wrong" role="alert">
          {fault}
        </p>
      )}
      <div class="foot-actions">
        <button type="submit" class="button main">
          Store the zone
        </button>
        <button type="button" class="button" onClick={() => (draft.value = null)}>
          Leave it
        </button>
      </div>
    </form>
  );
}

/** What is wrong with what was typed; null where it went to the server. */
function storeTyped({ name, mill, lifts, setDown }: Typed, units: Units): string | null {
  const [depth, laid, down] = [readSize(mill, units), readSizes(lifts, units), readSize(setDown, units)];
  if (name.trim() === '') return 'A zone needs a name.';
  if ('fault' in depth) return `Mill depth: ${depth.fault}`;
  if ('fault' in laid) return `Lifts: ${laid.fault}`;
  if ('fault' in down) return `Rims set down: ${down.fault}`;
  void storeZone({
    name: name.trim(),
    millDepthM: depth.value,
    liftsM: laid.value,
    setDownM: setDown.trim() === '' ? null : down.value,
  });
  return null;
}

/** An imported line may bound a zone: its ends are joined. */
function OutlineOfLine() {
  const outlines = (lines.value.value?.features ?? []).flatMap((line) => {
    const corners = outlineOfLine(line);
    return corners ? [{ id: line.id, name: line.properties.name, corners }] : [];
  });
  if (outlines.length === 0) return null;
  const take = (id: string) => {
    const found = outlines.find((outline) => outline.id === id);
    if (found) setCorners(found.corners);
  };
  return (
    <label>
      <span>Outline</span>
      <select value="" onChange={({ currentTarget }) => take(currentTarget.value)}>
        <option value="">drawn on the map</option>
        {outlines.map(({ id, name }) => (
          <option key={id} value={id}>
            line {name}
          </option>
        ))}
      </select>
    </label>
  );
}
