import { useState } from 'preact/hooks';
import type { RingFact } from '#core/field/facts.ts';
import { heavyMass, liftingWords } from '#core/stack/lifting.ts';
import { formatMass } from '#core/units/mass.ts';
import { nominal } from '../../../units.ts';
import { IntoView } from '../into-view.tsx';
import { useKept } from '../kept.ts';
import { lastOf, timeText } from '../standing.ts';
import type { Hole } from '../types.ts';
import { ordersOf, orderWords } from './beads.ts';
import type { StackInForce } from './in-force.ts';
import { type Progress, resume, tapRing, usedStack, useRing } from './progress.ts';
import { RecordRings } from './record-rings.tsx';
import { RingPicker } from './ring-picker.tsx';
import { isTapered, ringName, sameStack, turnWords } from './ring-words.ts';
import { SlabSign } from './slab-sign.tsx';

/** Rings as they stand, the first at the bottom: tapped as each goes in, from the bottom. */
export function Slabs({ hole, force }: { hole: Hole; force: StackInForce }) {
  const { card, records } = hole;
  const [kept, keep] = useKept<Progress | null>(`${hole.project.id}:${card.structure.id}:rings`, null);
  const [ask, setAsk] = useState<{ ring: number; before: number } | null>(null);
  const [picking, setPicking] = useState<number | null>(null);
  const recorded = lastOf(records, 'ringsUsed');
  const isOfThis =
    recorded !== null && (force.chosen === null || recorded.deviceTime >= force.chosen.deviceTime);
  if (recorded !== null && isOfThis)
    return (
      <Recorded
        hole={hole}
        force={force}
        stack={recorded.facts.stack}
        by={`${recorded.by}, ${timeText(recorded.deviceTime)}`}
      />
    );
  const progress = resume(kept, force.stack);
  const tap = (index: number, isMeant = false) => {
    const after = tapRing(progress, index, isMeant);
    keep(after.progress);
    setAsk(after.ask);
  };
  if (picking !== null)
    return (
      <RingPicker
        title={
          picking < force.stack.length ? `Ring ${picking + 1}: what went in?` : 'Another ring on top: which?'
        }
        card={card}
        first={progress.rings[picking]?.used ?? null}
        mayLeaveOut={picking < progress.rings.length}
        onPick={(used) => {
          keep(useRing(progress, picking, used));
          setPicking(null);
        }}
        onCancel={() => setPicking(null)}
      />
    );
  const next = progress.rings.findIndex(({ used, isIn }) => used !== null && !isIn);
  return (
    <section class="slabs" aria-label="Rings, the first at the bottom">
      <FrameSlab
        hole={hole}
        force={force}
        rings={usedStack(progress).length}
        onAdd={() => setPicking(progress.rings.length)}
      />
      {progress.rings
        .map(({ used, isIn }, index) => (
          <div key={index} class={`slab${isIn ? ' in' : ''}${index === next ? ' next' : ''}`}>
            <button
              type="button"
              class="slab-tap"
              aria-pressed={isIn}
              disabled={used === null}
              onClick={() => tap(index)}
            >
              <i class="number">{isIn ? '✓' : index + 1}</i>
              <SlabWords
                hole={hole}
                force={force}
                index={index}
                used={used}
                planned={force.stack[index] ?? null}
              />
            </button>
            <button
              type="button"
              class="slab-other"
              aria-label={`Other ring used as ring ${index + 1}`}
              onClick={() => setPicking(index)}
            >
              Other
            </button>
          </div>
        ))
        .reverse()}
      <p class="seat-line">
        Seat. {force.stack.length > 0 ? 'Start here; tap each ring as it goes in.' : ''}
      </p>
      {ask && (
        <IntoView>
          <div class="ask" role="alertdialog" aria-label="Wrong order">
            <p>
              <b>Ring {ask.before} is not in yet.</b> Ring {ask.ring} before it?
            </p>
            <div class="row">
              <button type="button" class="big" onClick={() => tap(ask.ring - 1, true)}>
                Yes, as built
              </button>
              <button type="button" class="big main" onClick={() => setAsk(null)}>
                No
              </button>
            </div>
          </div>
        </IntoView>
      )}
      <RecordRings hole={hole} force={force} progress={progress} onRecorded={() => keep(null)} />
    </section>
  );
}

interface WordsProps {
  hole: Hole;
  force: StackInForce;
  index: number;
  used: RingFact | null;
  planned: RingFact | null;
}

function SlabWords({ hole, force, index, used, planned }: WordsProps) {
  const { ringCatalogue } = hole.card;
  if (used === null)
    return (
      <span class="slab-words">
        <b>Left out</b>
        <small>{planned ? `was ${ringName(planned.ring, ringCatalogue).toLowerCase()}` : ''}</small>
      </span>
    );
  const ring = ringCatalogue?.rings.find(({ id }) => id === used.ring);
  const mass = heavyMass(used.ring, ringCatalogue?.rings, hole.accepted.twoPersonsKg);
  const isOther = planned === null || !sameStack([used], [planned]);
  const order = ordersOf(hole, force)[index];
  const turn = turnWords(used, hole.card);
  return (
    <>
      <span class="slab-words">
        <b>{ringName(used.ring, ringCatalogue)}</b>
        {isOther && (
          <em>{planned ? `in place of ${ringName(planned.ring, ringCatalogue).toLowerCase()}` : 'added'}</em>
        )}
        {turn && <small class="turn">{turn}</small>}
        {order && <small>{orderWords(order)} under it</small>}
        {mass !== null && (
          <em class="lift">
            {formatMass(mass, hole.units.smallUnit)}: {liftingWords}
          </em>
        )}
      </span>
      {ring && <SlabSign isTapered={isTapered(used.ring, ringCatalogue)} thicknessM={ring.thickM} />}
    </>
  );
}

function FrameSlab({
  hole,
  force,
  rings,
  onAdd,
}: {
  hole: Hole;
  force: StackInForce;
  rings: number;
  onAdd?: () => void;
}) {
  const top = ordersOf(hole, force).at(-1)!;
  return (
    <div class="slab frame">
      <p>
        <b>Frame</b> {nominal(hole.card.structure.frameHeightM, hole.units)},{' '}
        {rings === 0 ? 'on the seat' : `on ring ${rings}`}
        <small>{orderWords(top)} under it</small>
      </p>
      {onAdd && (
        <button type="button" class="slab-other" aria-label="+ Ring under the frame" onClick={onAdd}>
          + Ring
        </button>
      )}
    </div>
  );
}

/** What went in, once it is recorded; the card of the step takes it back. */
function Recorded({
  hole,
  force,
  stack,
  by,
}: {
  hole: Hole;
  force: StackInForce;
  stack: RingFact[];
  by: string;
}) {
  return (
    <section class="slabs" aria-label="Rings in place, the first at the bottom">
      <FrameSlab hole={hole} force={force} rings={stack.length} />
      {stack
        .map((used, index) => (
          <div key={index} class="slab in">
            <div class="slab-tap">
              <i class="number">✓</i>
              <SlabWords
                hole={hole}
                force={force}
                index={index}
                used={used}
                planned={force.stack[index] ?? null}
              />
            </div>
          </div>
        ))
        .reverse()}
      <p class="seat-line">Seat. Recorded by {by}; Undo is under Steps.</p>
    </section>
  );
}
