import { useEffect, useState } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { server } from '../../load.ts';
import { answer, answers, answerWords, followQuestion, mostRows } from '../../outlook/answer.ts';
import { ask, asked, csvQuery } from '../../outlook/asked.ts';
import { isDrawing } from '../../outlook/drawing.ts';
import { findingWords, limitWords, reasonsWords, whereWords } from '../../outlook/words.ts';
import { basemap, show, view } from '../../state.ts';
import { AnswerSymbol } from '../../symbols/answer-symbol.tsx';
import { unitsOf } from '../../units.ts';
import { Empty, FaultNote } from '../notes.tsx';
import { AnswerTable } from './answer-table.tsx';
import { Question } from './question.tsx';

type MapView = typeof import('../../map/overlay-map.tsx').default;

/** Which covers can take the next overlay: the question, the finding, the map and the table. */
export function Outlook({ project }: { project: Project }) {
  useEffect(() => {
    const end = followQuestion(server);
    return () => {
      isDrawing.value = false;
      end();
    };
  }, [project.id]);
  if (project.coverCount === 0) {
    return (
      <Empty
        sentence="No covers yet. Add a register to ask what the next overlay means for them."
        action={{ word: 'Add files', run: () => show({ page: 'surveys' }) }}
      />
    );
  }
  return (
    <div class="desk outlook">
      <h1 class="hidden">The next overlay</h1>
      <Question project={project} />
      <Finding project={project} />
      <MapFrame project={project} />
      <AnswerTable units={unitsOf(project)} />
    </div>
  );
}

function Finding({ project }: { project: Project }) {
  const { value, fault, loading } = answer.value;
  const { overlay } = view.value;
  const units = unitsOf(project);
  if (fault) return <FaultNote fault={fault} />;
  if (!value) return <section class="finding" aria-busy={loading} aria-label="Finding" />;
  const isAsked = asked.value !== null && !('fault' in asked.value);
  const { body } = value;
  const where = whereWords(
    {
      streets: body.streets ?? [],
      area: body.polygon ? overlay.area : [],
      isRegister: body.project === undefined,
    },
    project.name,
  );
  return (
    <section class={`finding${isAsked ? '' : ' stale'}`} aria-busy={loading} aria-label="Finding">
      <p class="headline" role="status">
        {findingWords(value, where, units)}
      </p>
      <p>
        {[reasonsWords(value.reasons), limitWords(value.limit, units)].filter(Boolean).join(' ')}
        {value.isCut &&
          ` The map shows all${value.only === null ? '' : ' of them'}; the table holds the first ${mostRows.toLocaleString('en')}, the file every one.`}
      </p>
      <div class="finding-row">
        <fieldset class="answer-keys">
          <legend class="hidden">Show only</legend>
          {answers.map((one) => (
            <button
              key={one}
              type="button"
              class={`key${value.counts[one] === 0 ? ' none' : ''}`}
              aria-pressed={overlay.answer === one}
              onClick={() => ask({ answer: overlay.answer === one ? null : one })}
            >
              <AnswerSymbol answer={one} />
              <b>{value.counts[one].toLocaleString('en')}</b>
              <span>{answerWords[one]}</span>
            </button>
          ))}
        </fieldset>
        <a class="csv" href={server().overlayCsvAddress(csvQuery(body, overlay.area))} download>
          Save as a CSV file
        </a>
      </div>
    </section>
  );
}

function MapFrame({ project }: { project: Project }) {
  const [code, setCode] = useState<{ OverlayMap: MapView } | null>(null);
  const [failed, setFailed] = useState(false);
  useEffect(() => {
    import('../../map/overlay-map.tsx').then(
      ({ default: OverlayMap }) => setCode({ OverlayMap }),
      () => setFailed(true),
    );
  }, []);
  const bounds = project.boundsLonLat as [number, number, number, number] | null;
  return (
    <section class="map" aria-label="Map">
      {failed && <p class="no-rows">The map could not be loaded. The table below holds the same covers.</p>}
      {code && bounds && !basemap.value.loading && <code.OverlayMap project={project} bounds={bounds} />}
    </section>
  );
}
