import { useNow } from '../clock.ts';
import { timeText } from '../standing.ts';
import { countdown, cureLeft } from './countdown.ts';

interface Props {
  pouredAt: string;
  cureHours: number;
  /** What waits for it: `Traffic`. */
  what: string;
}

/** How long what is fresh has to be left alone. */
export function Cure({ pouredAt, cureHours, what }: Props) {
  const isOver = cureLeft(pouredAt, cureHours, Date.now()) === 0;
  const left = cureLeft(pouredAt, cureHours, useNow(1000, !isOver));
  const from = new Date(Date.parse(pouredAt) + cureHours * 3_600_000).toISOString();
  if (left === 0) return <span class="cure over">Cured since {timeText(from)}.</span>;
  return (
    <span class="cure">
      <b role="timer">{countdown(left)}</b> {what} not before {timeText(from)}
    </span>
  );
}
