import '../../../web/style/tokens.css';
import '../../../web/style/base.css';
import { render } from 'preact';
import { useState } from 'preact/hooks';
import type { AnyMade } from '#core/field/facts.ts';
import { Hole } from '../../../web/field/hole/hole.tsx';
import type { Recorder } from '../../../web/field/hole/types.ts';
import { inch, tapedCard, vacuumTable } from '../../web/field/card.ts';

/** The hole's screens alone, with records that stay in the page: what is recorded is read from `holeRecords`. */
const kept = window as unknown as { holeRecords: AnyMade[] };
const key = 'records';
const asked = new URLSearchParams(location.search);
const pictures = new Map<string, Blob>();

async function hashOf(picture: Blob): Promise<string> {
  const hash = await crypto.subtle.digest('SHA-256', await picture.arrayBuffer());
  return [...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

const whole = tapedCard();
const vacuumTest = { value: asked.has('untested') ? 'none' : 'all', from: 'agency' } as const;
const thickRopeM = { value: asked.has('rope') ? 0.3 * inch : null, from: 'agency' } as const;
const from = 'agency' as const;
const sealant = {
  sealBeadM: { value: inch / 2, from },
  sealCircleM: { value: 29 * inch, from },
  sealCartridgeMl: { value: 298.69, from },
  sealRollM: { value: 144 * inch, from },
  sealThickRollM: { value: null, from },
  sealMostSplices: { value: 0, from },
  sealWasteShare: { value: 0.05, from },
};
const card = { ...whole, limits: { ...whole.limits, vacuumTest, thickRopeM, ...sealant } };

function Page() {
  const [records, setRecords] = useState<AnyMade[]>(() => JSON.parse(localStorage.getItem(key) ?? '[]'));
  kept.holeRecords = records;
  const record: Recorder = (kind, facts) =>
    setRecords((before) => {
      const made = {
        id: crypto.randomUUID(),
        structureId: 'MH-1',
        kind,
        facts,
        by: 'R. Pell',
        device: 'phone',
      };
      const after = [...before, { ...made, deviceTime: new Date().toISOString(), seen: 0 } as AnyMade];
      localStorage.setItem(key, JSON.stringify(after));
      return after;
    });
  return (
    <Hole
      card={card}
      project={{ id: 'project', displayUnit: 'in', elevationUnit: 'ft' }}
      records={records}
      vacuumTable={asked.has('untested') ? null : vacuumTable(asked.has('chimney') ? 'chimney' : 'structure')}
      record={record}
      isSent={() => false}
      pictures={{
        keep: async (picture) => {
          const hash = await hashOf(picture);
          pictures.set(hash, picture);
          return hash;
        },
        find: async (hash) => pictures.get(hash) ?? null,
        isSent: () => false,
      }}
    />
  );
}

render(<Page />, document.getElementById('app')!);
