import { useState } from 'preact/hooks';
import { address, conflictsAddress } from './address.ts';
import { ChooseNight } from './choose-night.tsx';
import { Conflicts } from './conflicts.tsx';
import { History } from './history.tsx';
import { Hole } from './hole/hole.tsx';
import { line } from './line.ts';
import { MapPage } from './map/map-page.tsx';
import { call, cover, isRead, me, night } from './night.ts';
import { NightList } from './night-list.tsx';
import { PlanCame, useCardInHand } from './plan-came.tsx';
import { PlateLine, Plates } from './plates.tsx';
import { isSent, phonePictures, record } from './records.ts';
import { said, say } from './said.ts';
import { TopBar } from './top-bar.tsx';
import type { CoverAtHole } from './types.ts';
import { Unsent } from './unsent.tsx';
import { newer, takeNewer } from './update.ts';

/** What the crew has in its hands: a night's list, and the covers on it. */
export function CrewPage() {
  const [isUnsentOpen, setUnsentOpen] = useState(false);
  return (
    <>
      <TopBar onOpen={() => setUnsentOpen(!isUnsentOpen)} isOpen={isUnsentOpen} />
      {said.value && (
        <p class="crew-said" role="alert">
          {said.value}
          <button type="button" onClick={() => say('')}>
            Read
          </button>
        </p>
      )}
      {line.value.state === 'refused' && (
        <p class="crew-said" role="status">
          {line.value.words} Your work stays on this phone and is sent again by itself.
        </p>
      )}
      {newer.value && (
        <p class="crew-said">
          A newer version is ready. Your work stays.
          <button type="button" onClick={takeNewer}>
            Take it now
          </button>
        </p>
      )}
      <PlateLine />
      {isUnsentOpen ? <Unsent onClose={() => setUnsentOpen(false)} /> : <Part />}
    </>
  );
}

function Part() {
  if (!isRead.value) return null;
  if (me.value.name === '') return <WhoAreYou />;
  if (!night.value) return address.value.part === 'plates' ? <Plates /> : <ChooseNight />;
  const { part } = address.value;
  if (part === 'plates') return <Plates />;
  if (part === 'map') return <MapPage />;
  const at = cover.value;
  if (!at) return <NightList />;
  return part === 'conflicts' ? <Conflicts at={at} /> : <AtCover at={at} />;
}

function AtCover({ at }: { at: CoverAtHole }) {
  const { project, vacuumTable } = night.value!.bundle;
  const id = at.card.structure.id;
  const { inHand, isNew, choose } = useCardInHand(at, project.id);
  return (
    <>
      <nav class="crew-way" aria-label="Night">
        <a href="#/">Tonight’s list</a>
        <a href={`#map/${encodeURIComponent(id)}`}>Map</a>
        <span>Cover {at.position}</span>
      </nav>
      {at.conflicts.length > 0 && (
        <nav aria-label="Two phones disagree">
          <a class="crew-conflict-line" href={conflictsAddress(id)}>
            <b>Two phones disagree: choose one</b>
            <span aria-hidden="true">›</span>
          </a>
        </nav>
      )}
      <PlanCame at={at} isNew={isNew} onChoose={choose} />
      <History at={at} />
      <Hole
        key={`${id} ${isNew}`}
        card={inHand}
        project={project}
        records={at.records}
        vacuumTable={vacuumTable}
        record={(kind, facts) => record(id, kind, facts)}
        pictures={phonePictures}
        isSent={isSent}
      />
    </>
  );
}

function WhoAreYou() {
  const [name, setName] = useState('');
  return (
    <main class="crew-main">
      <h1>Who are you?</h1>
      <p>Your name stands beside all that you record on this phone.</p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          if (name.trim()) void call(name.trim());
        }}
      >
        <label class="crew-field">
          Your name
          <input
            value={name}
            maxLength={100}
            autocomplete="name"
            onInput={({ currentTarget }) => setName(currentTarget.value)}
          />
        </label>
        <button type="submit" class="crew-button main" disabled={!name.trim()}>
          That is me
        </button>
      </form>
    </main>
  );
}
