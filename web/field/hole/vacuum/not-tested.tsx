import { useState } from 'preact/hooks';
import type { Asked } from '#core/seal/required.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';
import { TextField } from '../keys/text-field.tsx';
import type { Hole } from '../types.ts';
import type { Setup } from './conditions.tsx';

const reasons = ['Gauge failed', 'Pump failed', 'Head does not seal', 'No time in the closure'] as const;

interface Props {
  hole: Hole;
  table: VacuumTable;
  asked: Asked;
  setup: Setup;
  onDone: () => void;
}

/** A test that could not be made is written down as just that. */
export function NotTested({ hole, table, asked, setup, onDone }: Props) {
  const [reason, setReason] = useState('');
  return (
    <section class="note" aria-label="Not tested">
      <TextField label="Why not" value={reason} most={500} often={reasons} onText={setReason} />
      <div class="row">
        <button
          type="button"
          class="big main"
          disabled={reason.trim() === ''}
          onClick={() => {
            hole.record('vacuum', {
              tableId: table.id,
              scope: table.scope,
              diameterM: setup.diameterM,
              depthM: setup.depthM,
              headAt: setup.headAt,
              frameInPlace: setup.frameInPlace,
              startInHg: null,
              endInHg: null,
              seconds: null,
              requiredSeconds: asked.seconds,
              gauge: setup.gauge.trim(),
              outcome: 'notTested',
              reason: reason.trim(),
            });
            onDone();
          }}
        >
          Record: not tested
        </button>
        <button type="button" class="big" onClick={onDone}>
          Back
        </button>
      </div>
    </section>
  );
}
