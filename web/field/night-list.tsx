import { formatSmall } from '#core/units/format.ts';
import { statusOf } from '#shared/status.ts';
import { StatusSymbol } from '../symbols/status-symbol.tsx';
import { stationText } from '../words.ts';
import { timeText } from './hole/standing.ts';
import { fieldUnits } from './hole/units.ts';
import { choose, covers, me, night } from './night.ts';
import type { CoverAtHole } from './types.ts';

/** Tonight's covers in driving order. What is plated stands above all until it is reopened. */
export function NightList() {
  const { bundle } = night.value!;
  const plated = covers.value.flatMap(({ card, plates }) => plates.map((plate) => ({ card, plate })));
  return (
    <main class="crew-main">
      <header class="crew-night">
        <h1>{bundle.night ?? 'No night yet'}</h1>
        <p>
          {bundle.crew ?? 'No crew yet'}, {bundle.project.name}. You are {me.value.name}.
        </p>
      </header>
      {plated.length > 0 && (
        <section class="crew-plated" aria-labelledby="plated">
          <h2 id="plated">{plated.length} plated, to be reopened</h2>
          {plated.map(({ card, plate }) => (
            <a class="crew-row" key={plate.record.id} href={`#/${encodeURIComponent(card.structure.id)}`}>
              <StatusSymbol status="plated" size={30} />
              <span class="crew-what">
                <b>{card.structure.id}</b>
                <span>
                  Plate {plate.plate}, {timeText(plate.since)}, {plate.by}
                  {plate.ties.map(({ to, distanceM }) => `; ${distanceM.toFixed(2)} m to ${to}`).join('')}
                </span>
              </span>
            </a>
          ))}
        </section>
      )}
      <a class="crew-button" href="#map">
        Map of tonight’s covers
      </a>
      <DrivingOrder />
      <details class="crew-care">
        <summary>Cautions</summary>
        <p>
          The permit, the local code and the competent person come first. Open hole: barricade it, never leave
          it. Confined space: no entry without permit and air test. Lifting: two people or a hoist over 50 lb
          (23 kg). Traffic: stay inside the closure. Silica: saw wet, wear the mask.
        </p>
      </details>
      <button type="button" class="crew-button" onClick={() => void choose(null)}>
        Another night
      </button>
    </main>
  );
}

export function DrivingOrder() {
  return (
    <ol class="crew-list" aria-label="Covers in driving order">
      {covers.value.map((at) => (
        <Row key={at.card.structure.id} at={at} />
      ))}
    </ol>
  );
}

function Row({ at: { card, status, conflicts, position } }: { at: CoverAtHole }) {
  const units = fieldUnits(night.value!.bundle.project);
  const rim = card.plan?.rimErrorM ?? null;
  const way = rim === null ? '' : `${rim < 0 ? 'Raise' : 'Lower'} ${formatSmall(Math.abs(rim), units.small)}`;
  return (
    <li>
      <a class="crew-row" href={`#/${encodeURIComponent(card.structure.id)}`}>
        <span class="crew-place">{position}</span>
        {status ? <StatusSymbol status={status} size={30} /> : <span />}
        <span class="crew-what">
          <b>{card.structure.id}</b>
          <span>
            {[card.structure.street, card.stationM === null ? '' : stationText(card.stationM, units)]
              .filter(Boolean)
              .join(' ')}
            {status && `, ${statusOf(status).word.toLowerCase()}`}
          </span>
          {conflicts.length > 0 && <span class="crew-flag">Two phones disagree: choose one</span>}
        </span>
        <span class="crew-raise">{way}</span>
      </a>
    </li>
  );
}
