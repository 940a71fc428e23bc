import type { Units } from '../../../units.ts';
import { SizeInput } from '../keys/size-input.tsx';
import { TextField } from '../keys/text-field.tsx';
import { noTie, type TieDraft } from './tie-draft.ts';

const usual = ['Hydrant', 'Light pole', 'Valve', 'Corner of house', 'Catch basin'] as const;

interface Props {
  drafts: TieDraft[];
  units: Units;
  onDrafts: (drafts: TieDraft[]) => void;
}

/** Tapes from the cover's middle, by which it is found again. Three fix it. */
export function Ties({ drafts, units, onDrafts }: Props) {
  const change = (index: number, part: Partial<TieDraft>) =>
    onDrafts(drafts.map((draft, at) => (at === index ? { ...draft, ...part } : draft)));
  return (
    <fieldset class="ties">
      <legend>Ties: tapes from the middle of the cover. Three find it again.</legend>
      {drafts.map((draft, index) => (
        <div class="tie" key={index}>
          <TextField
            label={`Tie ${index + 1}, to`}
            value={draft.to}
            most={100}
            often={usual}
            onText={(to) => change(index, { to })}
          />
          <TieSizes draft={draft} number={index + 1} units={units} onChange={(part) => change(index, part)} />
        </div>
      ))}
      {drafts.length < 6 && (
        <button type="button" class="big" onClick={() => onDrafts([...drafts, noTie])}>
          {drafts.length === 0 ? 'Add a tie' : 'Add another tie'}
        </button>
      )}
    </fieldset>
  );
}

interface SizesProps {
  draft: TieDraft;
  number: number;
  units: Units;
  onChange: (part: Partial<TieDraft>) => void;
}

function TieSizes({ draft, number, units, onChange }: SizesProps) {
  const label = `Tie ${number}`;
  if (units.smallUnit === 'mm')
    return (
      <div class="tie-size">
        <SizeInput
          label={`${label}, metres`}
          value={draft.metres}
          way="metres"
          onText={(metres) => onChange({ metres })}
        />
        <span>m</span>
      </div>
    );
  return (
    <div class="tie-size">
      <SizeInput
        label={`${label}, feet`}
        value={draft.feet}
        way="feet"
        onText={(feet) => onChange({ feet })}
      />
      <span>ft</span>
      <SizeInput
        label={`${label}, inches`}
        value={draft.inches}
        way="inches"
        onText={(inches) => onChange({ inches })}
      />
      <span>in</span>
    </div>
  );
}
