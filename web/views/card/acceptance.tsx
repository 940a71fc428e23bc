import { useEffect, useState } from 'preact/hooks';
import type { Facts, KeptRecord } from '#core/field/facts.ts';
import type { Acceptance } from '#shared/acceptance.ts';
import type { CoverCard } from '#shared/cover.ts';
import { faultOf } from '../../api.ts';
import { RimClock } from '../../drawings/rim-clock.tsx';
import { server } from '../../load.ts';
import type { Fault } from '../../state.ts';
import type { Units } from '../../units.ts';
import { FaultNote } from '../notes.tsx';
import { ConflictNote } from './conflict-note.tsx';
import { deskName, recordAtDesk } from './desk-record.ts';
import { LaidEdge } from './laid-edge.tsx';
import { NameAndReason } from './name-and-reason.tsx';

interface Props {
  card: CoverCard;
  units: Units;
}

/** What was measured against what is accepted here, and the engineer's word. Hidden until something was recorded. */
export function AcceptancePanel({ card, units }: Props) {
  const [found, setFound] = useState<Acceptance | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  useEffect(() => {
    const stop = new AbortController();
    server()
      .acceptance(card.projectId, card.structure.id, stop.signal)
      .then((value) => {
        setFound(value);
        setFault(null);
      })
      .catch((error) => stop.signal.aborted || setFault(faultOf(error)));
    return () => stop.abort();
    // The card is read anew with every record: so is this.
  }, [card]);
  if (fault) return <FaultNote fault={fault} />;
  if (found?.structureId !== card.structure.id || found.lastSeq === 0) return null;
  return (
    <section class="acceptance" aria-label="Acceptance">
      <h3>Acceptance</h3>
      <p class="headline">{headline(found)}</p>
      <ul class="acceptance-reasons">
        {found.reasons.map(({ code, text }) => (
          <li key={code + text}>{text}</li>
        ))}
        {found.warnings.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
      <CheckedRim found={found} card={card} units={units} />
      {found.straightedge && (
        <LaidEdge record={found.straightedge as KeptRecord<'straightedge'>} units={units} />
      )}
      {found.conflicts.map((records) => (
        <ConflictNote
          key={records.map(({ id }) => id).join()}
          records={records}
          seen={found.lastSeq}
          units={units}
        />
      ))}
      <Word key={found.accepted?.id ?? found.lastSeq} found={found} />
      <Limits found={found} />
    </section>
  );
}

function headline({ verdict, accepted }: Acceptance): string {
  const word = accepted as KeptRecord<'accepted'> | null;
  if (word) {
    const reason = word.facts.reason ? `: ${word.facts.reason}` : '';
    return `${word.facts.accepted ? 'Accepted' : 'Not accepted'} by ${word.by}, ${momentText(word.deviceTime)}${reason}`;
  }
  if (verdict === 'accept') return 'Nothing stands against it. Nobody has accepted it yet.';
  return verdict === 'offGrade' ? 'Past a limit.' : 'Not yet to be accepted.';
}

const moment = new Intl.DateTimeFormat('en-GB', {
  day: 'numeric',
  month: 'short',
  hour: '2-digit',
  minute: '2-digit',
});
const momentText = (at: string) => moment.format(new Date(at)).replace(',', '');

function CheckedRim({ found, card, units }: Props & { found: Acceptance }) {
  const rim = found.rim as KeptRecord<'rimChecked'> | null;
  if (!rim) return null;
  const [twelve, three, six, nine] = rim.facts.rimErrorsM;
  // Azimuths are counted from 12 o'clock here: up-station is north.
  const plane = {
    centre: (twelve + three + six + nine) / 4,
    north: (twelve - six) / 2,
    east: (three - nine) / 2,
  };
  return (
    <figure>
      <RimClock
        rim={plane}
        bearing={0}
        twoSigma={2 * rim.facts.sigmaM}
        tolerance={found.proudM}
        low={found.lowM}
        units={units}
        hasStation={card.roadBearingDeg !== null}
      />
      <figcaption class="quiet">
        Rim as checked by {rim.by}, {momentText(rim.deviceTime)}; received {momentText(rim.receivedAt)}
      </figcaption>
    </figure>
  );
}

/** Accepting, not accepting, and taking either back: each by a named person. */
function Word({ found }: { found: Acceptance }) {
  const [name, setName] = useState(deskName);
  const [reason, setReason] = useState('');
  const [fault, setFault] = useState<Fault | null>(null);
  const { structureId, lastSeq: seen, accepted, verdict } = found;
  const by = name.trim();
  const why = reason.trim();
  const say = async (isAccepted: boolean) => {
    const needsReason = isAccepted ? verdict !== 'accept' : verdict === 'accept';
    if (!by) return setFault({ message: 'Say who you are.', fields: [] });
    if (needsReason && !why)
      return setFault({ message: 'The measurements say otherwise: give your reason.', fields: [] });
    const reasons = found.reasons.map(({ text }) => text.slice(0, 500)).slice(0, 50);
    const facts: Facts['accepted'] = { accepted: isAccepted, reasons, reason: why };
    setFault(await recordAtDesk({ structureId, kind: 'accepted', facts, by, seen }));
  };
  const takeBack = async () => {
    if (!by) return setFault({ message: 'Say who you are.', fields: [] });
    if (!why) return setFault({ message: 'Say why it is taken back.', fields: [] });
    const facts = { record: accepted!.id, reason: why };
    setFault(await recordAtDesk({ structureId, kind: 'withdrawn', facts, by, seen }));
  };
  return (
    <form class="acceptance-word" onSubmit={(event) => event.preventDefault()} noValidate>
      {fault && <FaultNote fault={fault} />}
      <NameAndReason name={name} reason={reason} onName={setName} onReason={setReason} />
      <p class="foot-actions">
        {accepted ? (
          <button type="button" class="button" onClick={() => void takeBack()}>
            Take this back
          </button>
        ) : (
          <>
            <button type="button" class="button main" onClick={() => void say(true)}>
              Accept
            </button>
            <button type="button" class="button" onClick={() => void say(false)}>
              Not accepted
            </button>
          </>
        )}
      </p>
    </form>
  );
}

function Limits({ found }: { found: Acceptance }) {
  return (
    <details>
      <summary>Limits, and whose they are</summary>
      <ul>
        {found.limits.map(({ name, value, whose }) => (
          <li key={name}>
            {name}: {value} ({whose})
          </li>
        ))}
        {found.vacuumTable && (
          <li>
            Vacuum table: {found.vacuumTable.name}, {found.vacuumTable.source}
          </li>
        )}
      </ul>
    </details>
  );
}
