import { useLayoutEffect, useRef } from 'preact/hooks';
import { activeField, leaveField } from './active.ts';
import type { Way } from './entry.ts';

interface Props {
  label: string;
  value: string;
  way: Way;
  hasSide?: boolean;
  isFaulty?: boolean;
  /** Id of the line that says what was understood. */
  describedBy?: string;
  onText: (text: string) => void;
}

/** A size typed on the pad of the page, or on real keys; the phone's own keyboard stays away. */
export function SizeInput({ label, value, way, hasSide = false, isFaulty, describedBy, onText }: Props) {
  const ref = useRef<HTMLInputElement>(null);
  const take = (input: HTMLInputElement) => {
    activeField.value = { input, way, hasSide, text: value, change: onText };
  };
  useLayoutEffect(() => {
    const active = activeField.peek();
    if (active?.input === ref.current && ref.current) take(ref.current);
  }, [value, way]);
  return (
    <input
      ref={ref}
      data-size
      class="size-input"
      inputMode="none"
      autocomplete="off"
      aria-label={label}
      aria-invalid={isFaulty}
      aria-describedby={describedBy}
      value={value}
      onInput={(event) => onText(event.currentTarget.value.replace(/^-/, '−'))}
      onFocus={(event) => {
        take(event.currentTarget);
        event.currentTarget.scrollIntoView({ block: 'nearest' });
      }}
      onBlur={(event) => leaveField(event.currentTarget)}
      onKeyDown={(event) => event.key === 'Enter' && event.currentTarget.blur()}
    />
  );
}
