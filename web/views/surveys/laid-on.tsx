import type { ImportPreview, ImportSurface, ImportTarget, StagedImport } from '#shared/staged-import.ts';
import { say } from '../../imports/staged.ts';
import { unitWords } from '../../imports/words.ts';
import { stages } from './chooser.tsx';

/** The surface that the rows are laid on: what of it was said, what was assumed. All can be changed until it is stored. */
export function LaidOn({ staged, preview }: { staged: StagedImport; preview: ImportPreview }) {
  if (preview.kind === 'structures' || preview.kind === 'lines') return null;
  const isShut = !['ready', 'reading'].includes(staged.state);
  const { target } = staged;
  const surface = preview.surface ?? null;
  const stage = target.stage ?? staged.answers.questions?.stage ?? surface?.stage;
  const put = (change: ImportTarget) => void say({ target: { ...target, ...change } });
  return (
    <section class="laid-on" aria-label="The surface it is laid on">
      <label>
        <span>Surface</span>
        <input
          type="text"
          maxLength={100}
          disabled={isShut}
          value={target.surfaceName ?? surface?.name ?? preview.name}
          onChange={({ currentTarget: { value } }) => value.trim() && put({ surfaceName: value.trim() })}
        />
      </label>
      <label>
        <span>Stage</span>
        <select
          disabled={isShut}
          value={stage ?? ''}
          onChange={({ currentTarget: { value } }) => put({ stage: value as 'finished' })}
        >
          {!stage && <option value="">not said</option>}
          {stages.map(([value, words]) => (
            <option key={value} value={value}>
              {words}
            </option>
          ))}
        </select>
      </label>
      {stage === 'lift' && (
        <label>
          <span>Lift, 1 at the bottom</span>
          <input
            type="number"
            min="1"
            max="10"
            disabled={isShut}
            value={target.lift ?? surface?.lift ?? ''}
            onChange={({ currentTarget: { value } }) => {
              const lift = Number(value);
              if (Number.isInteger(lift) && lift >= 1 && lift <= 10) put({ lift });
            }}
          />
        </label>
      )}
      <label>
        <span>Day measured or issued</span>
        <input
          type="date"
          disabled={isShut}
          value={target.epoch ?? surface?.epoch ?? ''}
          onChange={({ currentTarget: { value } }) => value && put({ epoch: value })}
        />
      </label>
      <label>
        <span>Vertical datum</span>
        <input
          type="text"
          maxLength={100}
          size={12}
          placeholder="NAVD88"
          disabled={isShut}
          value={target.verticalDatum ?? surface?.verticalDatum ?? ''}
          onChange={({ currentTarget: { value } }) => value.trim() && put({ verticalDatum: value.trim() })}
        />
      </label>
      {surface && <Assumed surface={surface} />}
    </section>
  );
}

const assumedWords: Readonly<Record<ImportSurface['assumed'][number], (surface: ImportSurface) => string>> = {
  name: () => 'the name from that of the file',
  stage: ({ stage }) => `the stage ${stages.find(([id]) => id === stage)?.[1] ?? stage}`,
  lift: ({ lift }) => (lift === null ? 'no lift' : `lift ${lift}`),
  epoch: ({ epoch }) => (epoch === null ? 'no day' : `the day ${epoch}`),
  verticalDatum: ({ verticalDatum }) => (verticalDatum === null ? 'no vertical datum' : verticalDatum),
  elevationUnit: ({ elevationUnit }) =>
    elevationUnit === null ? 'no unit of elevations' : `elevations in ${unitWords[elevationUnit]}`,
};

/** What nobody said and no file states. */
function Assumed({ surface }: { surface: ImportSurface }) {
  const { isNew, assumed } = surface;
  const words = assumed.map((what) => assumedWords[what](surface));
  return (
    <p class="quiet">
      {isNew ? 'A new surface.' : 'Added to a surface that is here.'}{' '}
      {words.length > 0 && (
        <>
          <b>Assumed, since nobody said:</b> {words.join(', ')}.
        </>
      )}
    </p>
  );
}
