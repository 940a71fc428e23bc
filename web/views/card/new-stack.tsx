import { useState } from 'preact/hooks';
import { formatSmall, proudOrLow } from '#core/units/format.ts';
import type { CoverCard } from '#shared/cover.ts';
import { signedWorst } from '../../figures.ts';
import type { Fault } from '../../state.ts';
import type { Units } from '../../units.ts';
import { stackSentence } from '../../words.ts';
import { FaultNote } from '../notes.tsx';
import { deskName, recordAtDesk } from './desk-record.ts';
import { NameAndReason } from './name-and-reason.tsx';

interface Props {
  card: CoverCard;
  units: Units;
}

/** The way back from a rim off grade: another stack on the seat as the rim shows it, beside the plan. */
export function NewStackPanel({ card, units }: Props) {
  const [name, setName] = useState(deskName);
  const [note, setNote] = useState('');
  const [fault, setFault] = useState<Fault | null>(null);
  const { newStack, ringCatalogue, structure, plan } = card;
  if (!newStack) return null;
  const { answer, problem } = newStack;
  if (!answer)
    return (
      <section class="new-stack" aria-label="New stack">
        <h3>New stack from the rim as measured</h3>
        <p>{problem}</p>
      </section>
    );
  const { seatHigherM: higher, residual } = answer;
  const take = async () => {
    const by = name.trim();
    if (!by) return setFault({ message: 'Say who you are.', fields: [] });
    const reason = ['New stack from the rim as measured', note.trim()]
      .filter(Boolean)
      .join(': ')
      .slice(0, 500);
    const facts = {
      ...{ because: 'other' as const, reason, tapes: null, truck: null },
      ...{ jointM: answer.jointM, stack: answer.stack },
      ...{ worstM: residual.worstM, centreM: residual.centreM, tiltM: residual.tiltM },
      ...{ planRevision: plan?.revision ?? null, planStack: plan?.stack ?? [] },
    };
    const seen = Math.max(0, ...card.history.map(({ detail }) => Number(detail.seq ?? 0)));
    setFault(await recordAtDesk({ structureId: structure.id, kind: 'stackChosen', facts, by, seen }));
  };
  const size = formatSmall(Math.abs(higher), units.small);
  return (
    <section class="new-stack" aria-label="New stack">
      <h3>New stack from the rim as measured</h3>
      <p>
        <b>{stackSentence(answer.stack, ringCatalogue) || 'Frame set straight on the seat'}.</b> Worst{' '}
        {proudOrLow(signedWorst(residual), units.small)}, survey and rim 2σ{' '}
        {formatSmall(answer.allowanceM, units.small)}
        {answer.withinTolerance ? '.' : ': not safely within tolerance.'}
      </p>
      <p class="quiet">
        The rings that stand put the seat, or what lies in the joints, {size}{' '}
        {higher < 0 ? 'lower' : 'higher'} than planned. The plan stays as it is.
      </p>
      {fault && <FaultNote fault={fault} />}
      <form onSubmit={(event) => event.preventDefault()} noValidate>
        <NameAndReason name={name} reason={note} onName={setName} onReason={setNote} />
        <button type="button" class="button" onClick={() => void take()}>
          Send this stack to the crew
        </button>
      </form>
    </section>
  );
}
