import type { Units } from '../../../units.ts';
import { OneSize } from '../keys/one-size.tsx';
import { edgePlaces, type ReadingTexts } from './edge-places.ts';
import { wayOf } from './form.ts';
import { distanceText } from './words.ts';

interface Props {
  word: 'Along' | 'Across';
  lengthM: number;
  rimRadiusM: number;
  units: Units;
  texts: ReadingTexts;
  onTexts: (texts: ReadingTexts) => void;
}

/** The gap under the edge at places along it, near end first. */
export function EdgeReadings({ word, lengthM, rimRadiusM, units, texts, onTexts }: Props) {
  return (
    <fieldset class="edge-readings">
      <legend>{word} the road: gap under the edge</legend>
      {edgePlaces(lengthM, rimRadiusM).map((place, index) => (
        <OneSize
          key={place.word}
          label={`${word}, ${distanceText(place.atM, units)}: ${place.word}`}
          text={texts[index] ?? ''}
          way={wayOf(units)}
          units={units}
          onText={(text) => onTexts({ ...texts, [index]: text })}
        />
      ))}
    </fieldset>
  );
}
