import { useId } from 'preact/hooks';

interface Props {
  label: string;
  value: string;
  most: number;
  /** Words used before or often: one tap instead of typing. */
  often?: readonly string[];
  onText: (text: string) => void;
}

/** Words: taken by a tap where they are usual, typed where they are not. */
export function TextField({ label, value, most, often = [], onText }: Props) {
  const id = useId();
  return (
    <div class="text-field">
      <label class="field-label" for={id}>
        {label}
      </label>
      {often.length > 0 && (
        <div class="often">
          {often.map((word) => (
            <button type="button" key={word} aria-pressed={word === value} onClick={() => onText(word)}>
              {word}
            </button>
          ))}
        </div>
      )}
      <input
        id={id}
        class="text-input"
        autocomplete="off"
        maxLength={most}
        value={value}
        onInput={(event) => onText(event.currentTarget.value)}
      />
    </div>
  );
}
