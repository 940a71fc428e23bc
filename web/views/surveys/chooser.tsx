import { signal } from '@preact/signals';
import { useRef, useState } from 'preact/hooks';
import type { ImportTarget, StagedKind, SurfaceStage } from '#shared/staged-import.ts';
import { actFault, bringIn } from '../../imports/staged.ts';
import { FaultNote } from '../notes.tsx';

const kind = signal<StagedKind | ''>('');
const stage = signal<SurfaceStage | ''>('');

const kinds: readonly (readonly [StagedKind | '', string])[] = [
  ['', 'whatever is in it'],
  ['structures', 'register of castings'],
  ['shots', 'shots'],
  ['design', 'design surface'],
  ['lines', 'centre, crown and gutter lines'],
  ['grid', 'grid of elevations'],
];

export const stages: readonly (readonly [SurfaceStage, string])[] = [
  ['existing', 'existing pavement'],
  ['milled', 'milled surface'],
  ['lift', 'top of a lift'],
  ['finished', 'finished surface'],
];

const hasSurface = (chosen: StagedKind | '') => chosen !== 'structures' && chosen !== 'lines';

function targetNow(): ImportTarget {
  const target: ImportTarget = {};
  if (kind.peek()) target.kind = kind.peek() as StagedKind;
  if (hasSurface(kind.peek()) && stage.peek()) target.stage = stage.peek() as SurfaceStage;
  return target;
}

/** Drop or choose files; what is said here is asked again where it does not fit. */
export function Chooser() {
  const input = useRef<HTMLInputElement>(null);
  const [isOver, setIsOver] = useState(false);
  const take = (files: FileList | null | undefined) => {
    const list = [...(files ?? [])];
    if (input.current) input.current.value = '';
    if (list.length > 0) void bringIn(list, targetNow());
  };
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping is an extra; the button inside does the same.
    <div
      class={`chooser${isOver ? ' over' : ''}`}
      onDragOver={(event) => {
        event.preventDefault();
        setIsOver(true);
      }}
      onDragLeave={() => setIsOver(false)}
      onDrop={(event) => {
        event.preventDefault();
        setIsOver(false);
        take(event.dataTransfer?.files);
      }}
    >
      <FileSign />
      <div class="chooser-words">
        <p class="file-choice">
          <input
            ref={input}
            type="file"
            multiple
            id="files"
            class="hidden"
            onChange={(event) => take(event.currentTarget.files)}
          />
          <label class="button main" for="files">
            Choose files
          </label>{' '}
          or drop them here.
        </p>
        <p class="quiet">
          Point files of any layout, registers as CSV, LandXML, GeoJSON, shapefiles zipped or loose,
          GeoPackage, DXF, GeoTIFF. Nothing is stored before you have seen what was understood.
        </p>
        <Said />
      </div>
      {actFault.value && <FaultNote fault={actFault.value} />}
    </div>
  );
}

function Said() {
  return (
    <div class="said-before">
      <label>
        It holds{' '}
        <select
          value={kind.value}
          onChange={({ currentTarget }) => (kind.value = currentTarget.value as StagedKind)}
        >
          {kinds.map(([value, words]) => (
            <option key={value} value={value}>
              {words}
            </option>
          ))}
        </select>
      </label>
      {hasSurface(kind.value) && (
        <label>
          Surface{' '}
          <select
            value={stage.value}
            onChange={({ currentTarget }) => (stage.value = currentTarget.value as SurfaceStage)}
          >
            <option value="">ask me when it is read</option>
            {stages.map(([value, words]) => (
              <option key={value} value={value}>
                {words}
              </option>
            ))}
          </select>
        </label>
      )}
    </div>
  );
}

/** Shots that settle on a street, under the one line that they are for. */
function FileSign() {
  return (
    <svg width="148" height="84" viewBox="0 0 148 84" aria-hidden="true">
      <path d="M4 66 144 56V80H4z" fill="var(--street)" />
      <path d="M4 66 144 56" stroke="var(--grade)" stroke-width="2.5" />
      {[16, 40, 62, 88, 112, 134].map((x, index) => (
        <path
          key={x}
          d={`M${x - 4} ${[34, 20, 40, 16, 30, 22][index]}h8m-4 -4v8`}
          stroke="var(--focus)"
          stroke-width="2"
        />
      ))}
      <path
        d="M16 42v12M40 28v26M62 48v6M88 24v28M112 38v12M134 30v18"
        stroke="var(--line2)"
        stroke-dasharray="2 4"
      />
    </svg>
  );
}
