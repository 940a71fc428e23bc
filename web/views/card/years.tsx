import { useEffect, useState } from 'preact/hooks';
import { formatSmall } from '#core/units/format.ts';
import type { CoverCard } from '#shared/cover.ts';
import type { Raise, StructureOutlook } from '#shared/outlook.ts';
import { faultOf } from '../../api.ts';
import { RimYears } from '../../drawings/rim-years.tsx';
import { server } from '../../load.ts';
import { readOverlay, typedOverlay } from '../../outlook/asked.ts';
import { limitWords, overlayWords } from '../../outlook/words.ts';
import { type Fault, project, show, view } from '../../state.ts';
import { AnswerSymbol } from '../../symbols/answer-symbol.tsx';
import type { Units } from '../../units.ts';
import { FaultNote } from '../notes.tsx';
import { LevelledRim } from './levelled-rim.tsx';

interface Props {
  card: CoverCard;
  units: Units;
}

/** The cover over the years: rim and pavement by date, what is left of the chimney, and a rim levelled anew. */
export function Years({ card, units }: Props) {
  const { structure } = card;
  const now = project.value!;
  const [state, setState] = useState<{ value: StructureOutlook | null; fault: Fault | null }>({
    value: null,
    fault: null,
  });
  const [again, setAgain] = useState(0);
  const read = readOverlay(typedOverlay(view.value.overlay, now), units);
  const query = new URLSearchParams({ project: now.id });
  if (!('fault' in read)) {
    query.set('thicknessM', `${read.thicknessM}`);
    query.set('millM', `${read.millM}`);
  }
  useEffect(() => {
    const controller = new AbortController();
    server()
      .structureOutlook(structure.id, query, controller.signal)
      .then((value) => setState({ value, fault: null }))
      .catch((error) => {
        if (!controller.signal.aborted) setState((before) => ({ ...before, fault: faultOf(error) }));
      });
    return () => controller.abort();
  }, [structure.id, structure.version, `${query}`, again]);
  const value = state.value?.structureId === structure.id ? state.value : null;
  return (
    <section class="years" aria-label="Over the years">
      <h3>Over the years</h3>
      {state.fault && <FaultNote fault={state.fault} />}
      {value && <Outlook outlook={value} rimToday={structure.rimElevationM} units={units} />}
      <LevelledRim structure={structure} units={units} onStored={() => setAgain(again + 1)} />
    </section>
  );
}

interface OutlookProps {
  outlook: StructureOutlook;
  /** null: never measured. */
  rimToday: number | null;
  units: Units;
}

function Outlook({ outlook, rimToday, units }: OutlookProps) {
  const { next, records, raises, trend, limit, overlay } = outlook;
  const rows: [string, preact.ComponentChildren][] = [];
  if (next.buildupM !== null) rows.push(['Chimney now', formatSmall(next.buildupM, units.small)]);
  if (next.remainingM !== null)
    rows.push(['Raise left', `${formatSmall(next.remainingM, units.small)}. ${limitWords(limit, units)}`]);
  if (next.overlaysLeft !== null) rows.push(['Overlays left', overlaysText(outlook, units)]);
  const moves = raises.filter(({ did }) => did !== 'same').toReversed();
  return (
    <>
      <p class="years-finding">{trend.text}</p>
      {records.length > 0 ? (
        <RimYears records={records} units={units} />
      ) : (
        <p>{rimToday === null ? 'No rim has been measured yet.' : 'The rim of the register has no date.'}</p>
      )}
      <dl>
        {rows.map(([name, said]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{said}</dd>
          </div>
        ))}
        <div>
          <dt>Next overlay</dt>
          <dd>
            <span class="status">
              <AnswerSymbol answer={next.answer} />
              <span>
                {overlayWords(overlay, units)}: {next.text}{' '}
                <button type="button" class="link" onClick={() => show({ page: 'overlay', cover: null })}>
                  Ask about others
                </button>
              </span>
            </span>
          </dd>
        </div>
        {moves.length > 0 && (
          <div>
            <dt>Moved</dt>
            <dd>{moves.map((move) => moveWords(move, units)).join('; ')}</dd>
          </div>
        )}
      </dl>
    </>
  );
}

function overlaysText({ next, overlay }: StructureOutlook, units: Units): string {
  const raise = formatSmall(overlay.thicknessM - overlay.millM, units.small);
  return `${next.overlaysLeft} that raise the rim by ${raise} each`;
}

const moved: Record<Raise['did'], string> = {
  raised: 'raised',
  lowered: 'lowered',
  settled: 'sank',
  rebuilt: 'built anew',
  reframed: 'another frame',
  same: 'stayed',
};

function moveWords({ to, byM, did, note }: Raise, units: Units): string {
  const by = did === 'rebuilt' || did === 'reframed' ? '' : ` ${formatSmall(Math.abs(byM), units.small)}`;
  return `${moved[did]}${by} by ${to}${note ? ` (${note})` : ''}`;
}
