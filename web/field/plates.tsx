import type { OpenPlate } from '#core/field/plates.ts';
import { formatFeetAndInches } from '#core/units/format.ts';
import type { Project } from '#shared/project.ts';
import { StatusSymbol } from '../symbols/status-symbol.tsx';
import { coverAddress } from './address.ts';
import { timeText } from './hole/standing.ts';
import { choose, nightKey, openPlates } from './night.ts';

/** `18 ft 4 in` or `5.59 m`. */
const tieText = (metres: number, { displayUnit }: Pick<Project, 'displayUnit'>) =>
  displayUnit === 'mm' ? `${metres.toFixed(2)} m` : formatFeetAndInches(metres);

export const plateWords = (plate: OpenPlate, project: Pick<Project, 'displayUnit'>) =>
  [
    `Plate ${plate.plate}, ${timeText(plate.since)}, ${plate.by}`,
    ...plate.ties.map(({ to, distanceM }) => `${tieText(distanceM, project)} to ${to}`),
  ].join('; ');

/** On every page as long as anything is plated: it must never be forgotten under the asphalt. */
export function PlateLine() {
  const count = openPlates.value.length;
  if (count === 0) return null;
  return (
    <nav aria-label="Plates">
      <a class="crew-plate-line" href="#plates">
        <b>{count} plated, to be reopened</b>
        <span aria-hidden="true">›</span>
      </a>
    </nav>
  );
}

/** Every open plate of every night on this phone. */
export function Plates() {
  const plates = openPlates.value;
  return (
    <main class="crew-main">
      <h1>{plates.length === 0 ? 'Nothing is plated' : `${plates.length} plated, to be reopened`}</h1>
      {plates.map(({ night: { key, bundle }, id, plate }) => (
        <a
          class="crew-row"
          key={`${key} ${plate.record.id}`}
          href={coverAddress(id)}
          onClick={(event) => {
            if (key === nightKey.peek()) return;
            event.preventDefault();
            void choose(key).then(() => {
              location.hash = coverAddress(id);
            });
          }}
        >
          <StatusSymbol status="plated" size={30} />
          <span class="crew-what">
            <b>{id}</b>
            <span>{plateWords(plate, bundle.project)}</span>
          </span>
        </a>
      ))}
      <p>
        <a class="crew-button" href="#/">
          Tonight’s list
        </a>
      </p>
    </main>
  );
}
