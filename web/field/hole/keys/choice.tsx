import { useId } from 'preact/hooks';

interface Props<Value extends string> {
  label: string;
  hideLabel?: boolean;
  value: Value | null;
  options: readonly { value: Value; word: string; note?: string }[];
  /** One below the other, for longer words. */
  isList?: boolean;
  /** Two beside each other, for words that do not fit in one row. */
  isGrid?: boolean;
  onChoose: (value: Value) => void;
}

/** One of a few, as big buttons. */
export function Choice<Value extends string>({
  label,
  hideLabel,
  value,
  options,
  isList,
  isGrid,
  onChoose,
}: Props<Value>) {
  const name = useId();
  return (
    <fieldset class={`choice${isList ? ' list' : isGrid ? ' grid' : ''}`}>
      <legend class={hideLabel ? 'hidden' : undefined}>{label}</legend>
      {options.map((option) => (
        <label key={option.value} class={option.value === value ? 'chosen' : undefined}>
          <input
            type="radio"
            name={name}
            checked={option.value === value}
            onChange={() => onChoose(option.value)}
          />
          <span>
            {option.word}
            {option.note && <small>{option.note}</small>}
          </span>
        </label>
      ))}
    </fieldset>
  );
}

/** Yes or not, as one big button that says which. */
export function Tick({
  word,
  value,
  onChange,
}: {
  word: string;
  value: boolean;
  onChange: (value: boolean) => void;
}) {
  return (
    <label class={`tick${value ? ' chosen' : ''}`}>
      <input type="checkbox" checked={value} onChange={(event) => onChange(event.currentTarget.checked)} />
      <i aria-hidden="true">{value ? '✓' : ''}</i>
      <span>{word}</span>
    </label>
  );
}
