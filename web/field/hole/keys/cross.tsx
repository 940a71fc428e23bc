import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';
import type { RoundTheClock } from '#core/field/facts.ts';
import { sideWords } from '#core/units/clock.ts';
import type { Units } from '../../../units.ts';
import { tapeHours } from '../tapes/doubt.ts';
import { lowOrProud } from '../units.ts';
import { type Reading, readEntry, type Way } from './entry.ts';
import { SizeInput } from './size-input.tsx';

interface Props {
  texts: RoundTheClock<string>;
  way: Way;
  units: Units;
  offset: number | null;
  /** Rim errors: may be low. */
  hasSide?: boolean;
  /** What the four are, for those who hear them: `Tape`, `Rim`. */
  what: string;
  /** Index of the one that is doubted. */
  doubted?: number | null;
  middle?: ComponentChildren;
  onTexts: (texts: RoundTheClock<string>) => void;
}

/** Four sizes where they are on the cover, 12 o'clock up-station at the top. */
export function Cross({ texts, way, units, offset, hasSide, what, doubted, middle, onTexts }: Props) {
  const id = useId();
  return (
    <div class="cross">
      {tapeHours.map((hour, index) => {
        const read = readEntry(texts[index], way, units.smallUnit);
        const isFaulty = read !== null && 'fault' in read;
        return (
          <div key={hour} class={`at-${hour}${doubted === index ? ' doubted' : ''}`}>
            <span class="cross-label" id={`${id}${hour}l`}>
              {hour} <b>{sideWords(hour, offset).replace(/^(toward the|to the) /, '')}</b>
            </span>
            <SizeInput
              label={`${what} at ${hour} o’clock, ${sideWords(hour, offset)}`}
              value={texts[index]}
              way={way}
              hasSide={hasSide}
              isFaulty={isFaulty}
              describedBy={`${id}${hour}`}
              onText={(text) =>
                onTexts(texts.map((old, at) => (at === index ? text : old)) as RoundTheClock<string>)
              }
            />
            <span class={`echo${isFaulty ? ' fault' : ''}`} id={`${id}${hour}`}>
              {echoOf(read, units, hasSide)}
            </span>
          </div>
        );
      })}
      <div class="at-middle">{middle ?? <Crosshair />}</div>
    </div>
  );
}

function echoOf(read: Reading, units: Units, hasSide?: boolean): string {
  if (read === null) return '';
  if ('fault' in read) return read.fault;
  return hasSide ? lowOrProud(read.metres, units) : read.echo;
}

function Crosshair() {
  return (
    <svg width="72" height="72" viewBox="-36 -36 72 72" aria-hidden="true">
      <circle r="26" fill="none" stroke="var(--ink)" stroke-width="6" />
      <path d="M0-35V-17M0 17V35M-35 0H-17M17 0H35" stroke="var(--ink)" stroke-width="2" />
      <circle r="2" fill="var(--ink)" />
    </svg>
  );
}
