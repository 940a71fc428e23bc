import { signal } from '@preact/signals';
import type { UndoPreview, UndoReport } from '#shared/staged-import.ts';
import { faultOf } from '../../api.ts';
import { refreshImport, showLaid } from '../../imports/staged.ts';
import { count } from '../../imports/words.ts';
import { server } from '../../load.ts';
import { announcement, type Fault, project } from '../../state.ts';
import { FaultNote } from '../notes.tsx';

interface Undoing {
  id: string;
  what: string;
  /** Set while rows that were changed since wait for a decision. */
  meets: UndoPreview | null;
  report: UndoReport | null;
  fault: Fault | null;
}

/** The undo that was asked for last, and what came of it. */
const undoing = signal<Undoing | null>(null);

async function undo(id: string, what: string, changedSince: 'refuse' | 'skip'): Promise<void> {
  const projectId = project.peek()!.id;
  undoing.value = { id, what, meets: null, report: null, fault: null };
  try {
    if (changedSince === 'refuse') {
      const meets = await server().undoPreview(projectId, id);
      if (meets.changedSinceCount > 0) {
        undoing.value = { ...undoing.peek()!, meets };
        return;
      }
    }
    const report = await server().undoImport(projectId, id, changedSince);
    undoing.value = { ...undoing.peek()!, report };
    announcement.value = `${what} is undone.`;
    await Promise.all([showLaid(), refreshImport()]);
  } catch (error) {
    undoing.value = { ...undoing.peek()!, fault: faultOf(error) };
  }
}

export function UndoButton({ id, what, isLink = false }: { id: string; what: string; isLink?: boolean }) {
  return (
    <button type="button" class={isLink ? 'link' : 'button'} onClick={() => void undo(id, what, 'refuse')}>
      Undo
      <span class="hidden"> {what}</span>
    </button>
  );
}

/** What an undo did, or what it would have to leave as it is. */
export function UndoNote() {
  const now = undoing.value;
  if (!now) return null;
  const { id, what, meets, report, fault } = now;
  if (fault) return <FaultNote fault={fault} />;
  if (meets) {
    return (
      <div class="undo-note" role="alert">
        <p>
          <b>
            {rows(meets.changedSinceCount)} of {what} changed since it was stored.
          </b>{' '}
          Undoing the rest removes {count(meets.removes)} and gives {count(meets.restores)} earlier values
          back.
        </p>
        <ul>
          {meets.changedSince.slice(0, 20).map((row) => (
            <li key={`${row.kind} ${row.id}`}>
              {row.id}: {row.text}
            </li>
          ))}
        </ul>
        <p class="foot-actions">
          <button type="button" class="button" onClick={() => void undo(id, what, 'skip')}>
            Undo the rest, leave these
          </button>
          <button type="button" class="button" onClick={() => (undoing.value = null)}>
            Keep all of it
          </button>
        </p>
      </div>
    );
  }
  if (!report) return null;
  return (
    <div class="undo-note" role="status">
      <p>
        <b>{what} is undone.</b> {reportWords(report)}{' '}
        <button type="button" class="link" onClick={() => (undoing.value = null)}>
          Put away
        </button>
      </p>
    </div>
  );
}

function reportWords({ removed, restored, skippedCount }: UndoReport): string {
  const parts = [
    removed > 0 ? `${rows(removed)} removed` : '',
    restored > 0 ? `${rows(restored)} with earlier values again` : '',
    skippedCount > 0 ? `${rows(skippedCount)} left as they are, changed since` : '',
  ].filter(Boolean);
  return parts.length === 0 ? 'It had changed nothing.' : `${parts.join(', ')}.`;
}

const rows = (number: number) => `${count(number)} ${number === 1 ? 'row' : 'rows'}`;
