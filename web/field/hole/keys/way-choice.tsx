import { Choice } from './choice.tsx';
import { type Way, ways } from './entry.ts';

/** Which way the sizes are typed. */
export function WayChoice({ way, onWay }: { way: Way; onWay: (way: Way) => void }) {
  return (
    <Choice
      label="Typed in"
      hideLabel
      value={way}
      options={ways.map((one) => ({ value: one.way, word: one.word }))}
      onChoose={onWay}
    />
  );
}
