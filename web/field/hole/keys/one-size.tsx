import { useId } from 'preact/hooks';
import { formatDistance } from '#core/units/format.ts';
import type { Units } from '../../../units.ts';
import { readEntry, type Way } from './entry.ts';
import { SizeInput } from './size-input.tsx';

interface Props {
  label: string;
  text: string;
  way: Way;
  units: Units;
  hasSide?: boolean;
  /** Largest that is believed, metres. */
  most?: number;
  /** A depth or distance: not shown in the small unit too. */
  isFar?: boolean;
  onText: (text: string) => void;
}

/** A labelled size with what was understood of it. */
export function OneSize({ label, text, way, units, hasSide, most, isFar, onText }: Props) {
  const id = useId();
  const read = readEntry(text, way, units.smallUnit, most);
  return (
    <div class="one-size">
      <span class="field-label">{label}</span>
      <SizeInput
        label={label}
        value={text}
        way={way}
        hasSide={hasSide}
        isFaulty={read !== null && 'fault' in read}
        describedBy={id}
        onText={onText}
      />
      <span id={id} class={`echo${read !== null && 'fault' in read ? ' fault' : ''}`}>
        {read === null
          ? ''
          : 'fault' in read
            ? read.fault
            : isFar
              ? formatDistance(read.metres, units.elevation, 2)
              : read.echo}
      </span>
    </div>
  );
}
