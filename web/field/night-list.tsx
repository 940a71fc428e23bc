import { liftingWords, liftLimitText } from '#core/stack/lifting.ts';
import { statusOf } from '#shared/status.ts';
import { nightText } from '../night-words.ts';
import { StatusSymbol } from '../symbols/status-symbol.tsx';
import { stationText } from '../words.ts';
import { coverAddress } from './address.ts';
import { doingOf } from './doing.ts';
import { DeskLink, listAddress } from './elsewhere.tsx';
import { liftLimitOf } from './hole/limits.ts';
import { BigSize } from './hole/stack/big-size.tsx';
import { fieldUnits } from './hole/units.ts';
import { hasSignal } from './line.ts';
import { choose, covers, me, night } from './night.ts';
import type { CoverAtHole } from './types.ts';

/** Tonight's covers in driving order. What is plated stands above every page until it is reopened. */
export function NightList() {
  const { bundle } = night.value!;
  return (
    <main class="crew-main">
      <header class="crew-night">
        <h1>{nightText(bundle.night)}</h1>
        <p>
          {bundle.crew ?? 'No crew yet'}, {bundle.project.name}. You are {me.value.name}.
        </p>
      </header>
      <a class="crew-button" href="#map">
        Map of tonight’s covers
      </a>
      <DrivingOrder />
      <details class="crew-care">
        <summary>Cautions</summary>
        <p>
          The permit, the local code and the competent person come first. Open hole: barricade it, never leave
          it. Confined space: no entry without permit and air test. Lifting: over{' '}
          {liftLimitText(liftLimitOf(bundle.project.limits))} {liftingWords}. Traffic: stay inside the
          closure. Silica: saw wet, wear the mask.
        </p>
      </details>
      <nav class="crew-links" aria-label="Other pages">
        <button type="button" class="crew-button" onClick={() => void choose(null)}>
          Another night
        </button>
        {hasSignal.value && (
          <>
            <a class="crew-button" href={listAddress(night.value!)} target="_blank" rel="noopener">
              This list on paper (PDF)
            </a>
            <DeskLink />
          </>
        )}
      </nav>
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

function Row({ at: { card, status, conflicts, position, builtTo } }: { at: CoverAtHole }) {
  const units = fieldUnits(night.value!.bundle.project);
  const doing = doingOf(card);
  const id = card.structure.id;
  return (
    <li>
      <a class="crew-row" href={coverAddress(id)}>
        <span class="crew-place">{position}</span>
        {status ? <StatusSymbol status={status} size={30} /> : <span />}
        <span class="crew-what">
          <b>{id}</b>
          <span>
            {[card.structure.street, card.stationM === null ? '' : stationText(card.stationM, units)]
              .filter(Boolean)
              .join(' ')}
            {status && `, ${statusOf(status).word.toLowerCase()}`}
          </span>
          {builtTo && <span class="crew-flag">Another plan came in: you have built to the one before</span>}
          {conflicts.length > 0 && <span class="crew-flag">Two phones disagree: choose one</span>}
        </span>
        {doing && (
          <span class="crew-raise">
            {doing.word} {doing.metres !== null && <BigSize metres={doing.metres} unit={units.smallUnit} />}
          </span>
        )}
      </a>
    </li>
  );
}
