interface Props {
  label: string;
  value: number;
  least?: number;
  most?: number;
  step?: number;
  unit?: string;
  onChange: (value: number) => void;
}

/** A small number, by one step up or down. */
export function Count({ label, value, least = 0, most = 99, step = 1, unit, onChange }: Props) {
  const set = (next: number) => onChange(Math.min(most, Math.max(least, Math.round(next * 1000) / 1000)));
  return (
    <fieldset class="count" aria-label={label}>
      <span class="count-label">{label}</span>
      <button
        type="button"
        aria-label={`${label}: less`}
        disabled={value <= least}
        onClick={() => set(value - step)}
      >
        −
      </button>
      <output>
        {value}
        {unit && <small> {unit}</small>}
      </output>
      <button
        type="button"
        aria-label={`${label}: more`}
        disabled={value >= most}
        onClick={() => set(value + step)}
      >
        +
      </button>
    </fieldset>
  );
}
