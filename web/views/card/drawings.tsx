import type { Chimney, Slab } from '#core/drawing/chimney.ts';
import { clockWords } from '#core/units/clock.ts';
import { formatElevation, formatSmall } from '#core/units/format.ts';
import { degrees, radians } from '#core/units/slope.ts';
import type { CoverCard } from '#shared/cover.ts';
import { RimClock } from '../../drawings/rim-clock.tsx';
import { type SectionLabel, StackSection } from '../../drawings/stack-section.tsx';
import { TaperClock } from '../../drawings/taper-clock.tsx';
import { ToleranceRuler } from '../../drawings/tolerance-ruler.tsx';
import {
  chimneyOf,
  isWithoutStack,
  type PlacedTaper,
  rimErrorOf,
  tapersOf,
  worstToShow,
} from '../../figures.ts';
import { nominal, nominalSize, type Units } from '../../units.ts';
import { stackSentence } from '../../words.ts';

interface Props {
  card: CoverCard;
  units: Units;
}

/** Draw it, then say it: tolerance, section beside clock, rim round the clock. Nothing is drawn that is not known. */
export function Drawings({ card, units }: Props) {
  const { plan, limits } = card;
  if (!plan?.finished) return null;
  const tolerance = limits.toleranceM.value;
  const twoSigma = 2 * plan.finished.sigmaRimM;
  const bearing = card.roadBearingDeg === null ? null : radians(card.roadBearingDeg);
  const tapers = tapersOf(plan);
  const worst = worstToShow(plan);
  const rim = rimErrorOf(card);
  return (
    <section class={`drawings${card.planStale ? ' stale' : ''}`} aria-label="Drawings">
      {(worst !== null || plan.status === 'remeasure') && (
        <figure>
          <h3>
            Rim against tolerance, {twoSigma === 0 ? "the survey's allowance off" : 'with 2σ of the survey'}
          </h3>
          <ToleranceRuler worst={worst} twoSigma={twoSigma} tolerance={tolerance} units={units} />
        </figure>
      )}
      {plan.status !== 'remeasure' && card.structure.seatElevationM === null && (
        <p>Not drawn: the seat was never measured.</p>
      )}
      {plan.status !== 'remeasure' && card.structure.seatElevationM !== null && (
        <div class="pair">
          <figure class="section">
            <h3>
              {plan.stack.length > 0 && !isWithoutStack(plan.status)
                ? 'Stack, true to scale'
                : 'As it stands, true to scale'}
            </h3>
            <Section card={card} units={units} bearing={bearing} />
          </figure>
          {tapers.length > 0 && (
            <figure class="clock">
              <h3>{tapers.length === 1 ? 'Taper, seen from above' : 'Tapers, seen from above'}</h3>
              <TaperClock tapers={tapers} bearing={bearing} offset={card.offsetM} />
            </figure>
          )}
        </div>
      )}
      {tapers.length > 0 && <TaperWords tapers={tapers} bearing={bearing} offset={card.offsetM} />}
      {rim && (
        <figure>
          <h3>Rim round the clock, {units.smallUnit}</h3>
          <RimClock
            rim={rim}
            bearing={bearing ?? 0}
            hasStation={bearing !== null}
            twoSigma={twoSigma}
            tolerance={tolerance}
            units={units}
          />
        </figure>
      )}
    </section>
  );
}

function Section({ card, units, bearing }: Props & { bearing: number | null }) {
  const { structure, plan, ringCatalogue } = card;
  const finished = plan!.finished!;
  const chimney = chimneyOf(card);
  if (!chimney) return null;
  const labelsOf = (slabs: Slab[]) => sectionLabels(card, { chimney, slabs }, units);
  const stack = stackSentence(plan!.stack, ringCatalogue) || 'no rings';
  return (
    <StackSection
      chimney={chimney}
      finished={finished}
      setDown={structure.setDownM}
      rimToday={structure.rimElevationM}
      bearing={bearing}
      labelsOf={labelsOf}
      said={`Section: seat at ${formatElevation(chimney.seatElevation, units.elevation)}, ${stack}, frame ${formatSmall(structure.frameHeightM, units.small)}, finished grade at ${formatElevation(finished.elevationM, units.elevation)}.`}
    />
  );
}

/** One label a part, top down as drawn; joints stay unlabelled. */
function sectionLabels(
  { structure, plan, ringCatalogue }: CoverCard,
  { chimney, slabs }: { chimney: Chimney; slabs: Slab[] },
  units: Units,
): SectionLabel[] {
  const finished = plan!.finished!;
  const unit = ringCatalogue?.unit ?? units.smallUnit;
  const labels: SectionLabel[] = [
    {
      elevation: chimney.seatElevation - 0.04,
      strong: 'Seat',
      text: formatElevation(chimney.seatElevation, units.elevation),
    },
  ];
  for (const slab of slabs) {
    const elevation = (slab.bottom + slab.top) / 2;
    if (slab.part === 'frame')
      labels.push({ elevation, strong: 'Frame', text: nominal(structure.frameHeightM, units) });
    if (slab.part === 'existing')
      labels.push({ elevation, strong: 'Chimney', text: formatSmall(slab.top - slab.bottom, units.small) });
    if (slab.part === 'ring' && slab.ring) {
      const { thin, thick } = slab.ring;
      const size =
        thin === thick
          ? `flat ${nominalSize(thick, unit)}`
          : `taper ${nominalSize(thin, unit)}–${nominalSize(thick, unit)}`;
      labels.push({ elevation, strong: `${slab.number}`, text: `${size} ${unit}` });
    }
  }
  labels.push({
    elevation: finished.elevationM,
    strong: 'Grade',
    text: formatElevation(finished.elevationM, units.elevation),
    isGrade: true,
  });
  return labels;
}

interface TaperProps {
  tapers: PlacedTaper[];
  bearing: number | null;
  offset: number | null;
}

/** Clock words first; an azimuth only where no road bearing is known. */
function TaperWords({ tapers, bearing, offset }: TaperProps) {
  const degreesFromNorth = (azimuth: number) => Math.round((degrees(azimuth) + 360) % 360);
  return (
    <ul class="taper-words">
      {tapers.map(({ number, thick }) => (
        <li key={number}>
          <b>Ring {number}:</b>{' '}
          {bearing === null
            ? `thick side ${degreesFromNorth(thick)}° from grid north; no road bearing is known here.`
            : `thick side ${clockWords(thick, bearing, offset)}.`}
        </li>
      ))}
    </ul>
  );
}
