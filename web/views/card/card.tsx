import { useEffect, useRef } from 'preact/hooks';
import type { CoverCard } from '#shared/cover.ts';
import { statusOf } from '#shared/status.ts';
import { keepLaid } from '../../imports/laid.ts';
import { openCover, selected, statusShown, stepCover } from '../../selection.ts';
import { card, project, view } from '../../state.ts';
import { StatusSymbol } from '../../symbols/status-symbol.tsx';
import { type Units, unitsOf } from '../../units.ts';
import { kindWords, offsetWords, stationText } from '../../words.ts';
import { FaultNote } from '../notes.tsx';
import { SheetLink } from '../paper-links.tsx';
import { AcceptancePanel } from './acceptance.tsx';
import { Cautions } from './cautions.tsx';
import { Decision } from './decision.tsx';
import { Drawings } from './drawings.tsx';
import { Figures } from './figures.tsx';
import { History } from './history.tsx';
import { NewStackPanel } from './new-stack.tsx';
import { RegisterEntry } from './register-entry.tsx';
import { RunnerUpNote } from './runner-up.tsx';
import { Stages } from './stages.tsx';
import { Years } from './years.tsx';

/** The card that the page was opened with: nobody's focus has to be moved for it. */
let openedByAddress = view.peek().cover;

/** Why: one cover's decision, its drawings and its history. */
export function CardPanel({ id }: { id: string }) {
  const now = project.value;
  const { value, fault, loading } = card.value;
  const heading = useRef<HTMLHeadingElement>(null);
  // On a phone the card takes the place of the list, so that the focus has to follow it there.
  useEffect(() => {
    if (id !== openedByAddress && matchMedia('(max-width: 899px)').matches) heading.current?.focus();
    openedByAddress = null;
  }, [id]);
  // Names of surfaces and zones; a card says ids until they are here.
  useEffect(() => {
    keepLaid();
  }, [now?.id, now?.inputRevision]);
  if (!now) return null;
  const units = unitsOf(now);
  const isThis = value?.structure.id === id;
  return (
    <aside class={`card${loading ? ' loading' : ''}`} aria-label={`Cover ${id}`} aria-busy={loading}>
      <header class="card-head">
        <Emblem />
        <div>
          <h2 tabIndex={-1} ref={heading}>
            {id} <span class="status-word">{statusWord()}</span>
          </h2>
          {isThis && <p class="quiet">{placeWords(value, units)}</p>}
        </div>
        <nav class="steps" aria-label="Along the street">
          <button type="button" class="step" title="Previous cover, key [" onClick={() => stepCover(-1)}>
            <span aria-hidden="true">‹</span>
            <span class="hidden">Previous cover</span>
          </button>
          <button type="button" class="step" title="Next cover, key ]" onClick={() => stepCover(1)}>
            <span aria-hidden="true">›</span>
            <span class="hidden">Next cover</span>
          </button>
          <button type="button" class="step" title="Close, key Esc" onClick={() => openCover(null)}>
            <span aria-hidden="true">×</span>
            <span class="hidden">Close the card</span>
          </button>
        </nav>
      </header>
      {fault && <FaultNote fault={fault} />}
      {isThis && <CardBody card={value} units={units} />}
    </aside>
  );
}

function CardBody({ card: value, units }: { card: CoverCard; units: Units }) {
  return (
    <>
      <Decision card={value} units={units} />
      <SheetLink cover={value.structure.id} />
      <AcceptancePanel card={value} units={units} />
      <NewStackPanel card={value} units={units} />
      <Drawings card={value} units={units} />
      <Stages card={value} units={units} />
      <RunnerUpNote card={value} units={units} />
      <Figures card={value} units={units} />
      <Years card={value} units={units} />
      <RegisterEntry card={value} units={units} />
      <Cautions />
      <History card={value} units={units} />
    </>
  );
}

function Emblem() {
  const status = selected.value && statusShown(selected.value);
  return status ? <StatusSymbol status={status} size={26} /> : <span class="emblem-none" />;
}

function statusWord(): string {
  if (selected.value === null) return '';
  const status = statusShown(selected.value);
  return status ? statusOf(status).word : 'Not planned yet';
}

/** `Alder Street 24+18, 6 ft right of centre. City sewer, manhole.` */
function placeWords({ structure, stationM, offsetM }: CoverCard, units: Units): string {
  const station = stationM === null ? null : stationText(stationM, units);
  const where = [[structure.street, station].filter(Boolean).join(' '), offsetWords(offsetM, units)]
    .filter(Boolean)
    .join(', ');
  const what = [structure.owner, kindWords(structure.kind)].filter(Boolean).join(', ');
  return [where, what]
    .filter(Boolean)
    .map((part) => `${part}.`)
    .join(' ');
}
