import type { Project } from '#shared/project.ts';
import type { TreatmentZone } from '#shared/treatment.ts';
import { beginZone, changeZone, draft, removeZone } from '../../grade/draft.ts';
import { sizesText, sizeText } from '../../grade/lengths.ts';
import { zones } from '../../imports/laid.ts';
import { count } from '../../imports/words.ts';
import { type Units, unitsOf } from '../../units.ts';
import { RemoveButton } from '../confirm.tsx';
import { ZoneForm } from './zone-form.tsx';

/** Zones of treatment: which there are, and one that is drawn or changed. */
export function Zones({ project }: { project: Project }) {
  const all = zones.value.value ?? [];
  const units = unitsOf(project);
  return (
    <section class="zones" aria-label="Zones of treatment">
      <h2>Zones of treatment</h2>
      {all.length === 0 && zones.value.value && <p class="quiet">{withoutZones(project, units)}</p>}
      <ul class="laid-lines">
        {all.map((zone) => (
          <li key={zone.id}>
            <b>{zone.name}</b> {workWords(zone, units)}; {count(zone.coverCount)}{' '}
            {zone.coverCount === 1 ? 'cover' : 'covers'}.{' '}
            <button type="button" class="link" onClick={() => changeZone(zone)}>
              Change<span class="hidden"> {zone.name}</span>
            </button>{' '}
            <RemoveButton
              name={zone.name}
              so="Its covers are then in no zone, or in another that lies over them."
              remove={() => removeZone(zone)}
            />
          </li>
        ))}
      </ul>
      {draft.value ? (
        <ZoneForm key={draft.value.of?.id ?? ''} units={units} />
      ) : (
        <button type="button" class="button" onClick={beginZone}>
          Draw a zone
        </button>
      )}
    </section>
  );
}

type Work = Pick<TreatmentZone, 'millDepthM' | 'setDownM'> & { liftsM: number[] };

function workWords({ millDepthM, liftsM, setDownM }: Work, units: Units): string {
  const mill = millDepthM > 0 ? `mill ${sizeText(millDepthM, units)}` : 'no milling';
  const lay = liftsM.length > 0 ? `lay ${sizesText(liftsM, units)}, bottom lift first` : 'nothing laid';
  return `${mill}; ${lay}${setDownM ? `; rims set ${sizeText(setDownM, units)} down` : ''}`;
}

function withoutZones({ treatment }: Project, units: Units): string {
  const { liftsM } = treatment;
  return liftsM === null
    ? 'No zone yet, and what is laid is not known: no finished grade is made from an earlier surface.'
    : `No zone yet: the whole project gets one treatment, ${workWords({ ...treatment, liftsM }, units)}.`;
}
