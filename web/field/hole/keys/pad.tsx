import { activeField, fieldAfter } from './active.ts';
import { eighths, type Key, partWord, press } from './entry.ts';

interface PadKey {
  word: string;
  said?: string;
  press: Key | 'next' | 'done';
}

const digit = (value: number): PadKey => ({ word: String(value), press: { key: 'digit', digit: value } });
const part = (sixteenths: number): PadKey => ({
  word: partWord(sixteenths),
  said: `and ${partWord(sixteenths)}`,
  press: { key: 'part', sixteenths },
});
const step = (sixteenths: -1 | 1): PadKey => ({
  word: sixteenths < 0 ? '−1/16' : '+1/16',
  press: { key: 'step', sixteenths },
});
const back: PadKey = { word: '⌫', said: 'Delete', press: { key: 'back' } };
const point: PadKey = { word: '.', said: 'Point', press: { key: 'point' } };
const side: PadKey = { word: 'low', said: 'Low or proud', press: { key: 'side' } };
const next: PadKey = { word: 'Next', press: 'next' };
const done: PadKey = { word: 'Done', press: 'done' };

const [p1, p2, p3, p4, p5, p6, p7] = eighths.map(part);
const inchKeys = (hasSide: boolean): PadKey[] => [
  ...[digit(1), digit(2), digit(3), p1, p2, p3],
  ...[digit(4), digit(5), digit(6), p4, p5, p6],
  ...[digit(7), digit(8), digit(9), p7, step(-1), step(1)],
  ...(hasSide ? [digit(0), back, side] : [digit(0), back]),
];
const plainKeys = (hasPoint: boolean, hasSide: boolean): PadKey[] => [
  ...[1, 2, 3, 4, 5].map(digit),
  back,
  ...[6, 7, 8, 9, 0].map(digit),
  hasPoint ? point : side,
  ...(hasPoint && hasSide ? [side] : []),
];

const kindOf = ({ press: what }: PadKey): string => (typeof what === 'string' ? what : what.key);

/** Keys of the page for the field that is being typed in; they do not take the focus from it. */
export function Pad() {
  const field = activeField.value;
  if (field === null) return null;
  const { way, hasSide, text, change, input } = field;
  const keys = way === 'inches' ? inchKeys(hasSide) : plainKeys(way === 'feet' || way === 'metres', hasSide);
  const shown = keys.filter((key) => key !== side || hasSide);
  const use = (what: PadKey['press']) => {
    if (what === 'done') return input.blur();
    if (what !== 'next') return change(press(text, what, way));
    const after = fieldAfter(input);
    if (after) after.focus();
    else input.blur();
  };
  return (
    <fieldset
      class={`pad ${way === 'inches' ? 'fractions' : 'plain'}${hasSide ? ' with-side' : ''}`}
      aria-label="Keys"
    >
      {[...shown, next, done].map((key) => (
        <button
          type="button"
          key={key.word}
          class={`pad-key ${kindOf(key)}`}
          aria-label={key === side ? (text.startsWith('−') ? 'Make it proud' : 'Make it low') : key.said}
          tabIndex={-1}
          onPointerDown={(event) => event.preventDefault()}
          onMouseDown={(event) => event.preventDefault()}
          onClick={() => use(key.press)}
        >
          {key === side && text.startsWith('−') ? 'proud' : key.word}
        </button>
      ))}
    </fieldset>
  );
}
