import type { Project } from '#shared/project.ts';
import type { Takeoff } from '#shared/takeoff.ts';
import { show, view } from '../../state.ts';
import { fileAddress, polygon } from '../../takeoff/asked.ts';
import { statusOfReason } from '../../takeoff/figures.ts';

const mostNamed = 12;

/** Covers whose rings are not known, by why, each way leading to them. */
export function LeftOut({ value, project }: { value: Takeoff; project: Project }) {
  return (
    <section aria-label="Covers that are not in it">
      <h2>
        {value.leftOut === 1 ? '1 cover is' : `${value.leftOut.toLocaleString('en')} covers are`} not in it
      </h2>
      <ul class="left-out">
        {value.reasons.map((reason) => (
          <Reason key={reason.reason} {...reason} />
        ))}
      </ul>
      <p class="paper-links">
        <a href={fileAddress(project, 'takeoff.csv', 'leftOut')} download>
          Save these covers as a CSV file
        </a>
      </p>
    </section>
  );
}

function Reason({ reason, text, covers, ids }: Takeoff['reasons'][number]) {
  const status = statusOfReason(reason);
  const more = covers - Math.min(ids.length, mostNamed);
  return (
    <li>
      <b class="number">{covers.toLocaleString('en')}</b>
      <span>
        {text}
        <span class="left-out-ids">
          {ids.slice(0, mostNamed).map((id) => (
            <button key={id} type="button" class="link" onClick={() => show({ page: 'map', cover: id })}>
              {id}
            </button>
          ))}
          {more > 0 && <span class="quiet">and {more.toLocaleString('en')} more</span>}
          {status !== null && covers > 1 && polygon.value === null && (
            <button
              type="button"
              class="link"
              onClick={() => show({ page: 'map', filter: [status], only: view.peek().only, cover: null })}
            >
              See them on the map<span class="hidden">: {text}</span>
            </button>
          )}
        </span>
      </span>
    </li>
  );
}
