import { useEffect, useId, useRef, useState } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import type { RingSupplies } from '#shared/ring-supply.ts';
import type { Takeoff } from '#shared/takeoff.ts';
import { ApiError, faultOf, type SuppliesOf } from '../../api.ts';
import { server } from '../../load.ts';
import { announcement, type Fault } from '../../state.ts';
import {
  type DraftFaults,
  draftOf,
  faultsOf,
  inForceText,
  onTopOf,
  percentText,
  readDraft,
  type SupplyDraft,
  type SupplyField,
  supplyFields,
  type Whose,
} from '../../takeoff/draft.ts';
import { sizeWords } from '../../takeoff/figures.ts';
import { FaultNote } from '../notes.tsx';

const changedMeanwhile = 412;
const meanwhile =
  'Somebody changed these figures meanwhile: theirs are in the fields now, under what you typed. Look, then store again.';

interface Props {
  project: Project;
  value: Takeoff;
  onSaved: () => void;
}

interface Open {
  supplies: RingSupplies;
  tag: string;
  /** As it was read. */
  base: SupplyDraft;
  draft: SupplyDraft;
}

/** How rings are packed, how many are spare and how many are there: of this project, or of all of the agency's. */
export function Supplies({ project, value, onSaved }: Props) {
  const [open, setOpen] = useState<Open | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [faults, setFaults] = useState<DraftFaults>({});
  const opener = useRef<HTMLButtonElement>(null);
  const wasOpen = useRef(false);
  useEffect(() => {
    if (open === null && wasOpen.current) opener.current?.focus();
    wasOpen.current = open !== null;
  }, [open]);
  const of = (whose: Whose): SuppliesOf =>
    whose === 'project' ? { project: project.id } : { catalogue: value.ringCatalogueId! };
  const read = async (whose: Whose, typed: Open | null = null) => {
    try {
      const { value: supplies, tag } = await server().supplies(of(whose));
      const base = draftOf(supplies, whose);
      setOpen({ supplies, tag, base, draft: typed ? onTopOf(base, typed.draft, typed.base) : base });
    } catch (error) {
      setFault(faultOf(error));
    }
  };
  const begin = (whose: Whose) => {
    setFaults({});
    setFault(null);
    void read(whose);
  };
  const store = async (event: Event) => {
    event.preventDefault();
    const { draft, base, tag } = open!;
    const asked = readDraft(draft, base);
    setFaults('faults' in asked ? asked.faults : {});
    if ('faults' in asked) return;
    try {
      await server().changeSupplies(of(draft.whose), asked.patch, tag);
    } catch (error) {
      if (error instanceof ApiError && error.status === changedMeanwhile) {
        setFault({ message: meanwhile, fields: [] });
        await read(draft.whose, open);
        return;
      }
      const said = faultOf(error);
      const { faults: there, rest } = faultsOf(said.fields);
      setFaults(there);
      setFault({ message: said.message, fields: rest });
      return;
    }
    setFault(null);
    setOpen(null);
    announcement.value = 'Packs, spares and stock are stored.';
    onSaved();
  };
  return (
    <section aria-label="Packs, spares and stock">
      <h2>Packs, spares and stock</h2>
      {fault && <FaultNote fault={fault} />}
      {open === null ? (
        <p>
          <button ref={opener} type="button" class="button" onClick={() => begin('project')}>
            Change packs, spares and stock
          </button>
        </p>
      ) : (
        <form onSubmit={store} aria-label="Packs, spares and stock">
          <WhoseChoice whose={open.draft.whose} choose={begin} />
          <Fields open={open} value={value} faults={faults} put={(draft) => setOpen({ ...open, draft })} />
          <p class="foot-actions">
            <button type="submit" class="button main">
              Store
            </button>
            <button
              type="button"
              class="button"
              onClick={() => {
                setOpen(null);
                setFault(null);
              }}
            >
              Leave it
            </button>
            {Object.keys(faults).length > 0 && (
              <span class="wrong" role="alert">
                Not stored: {Object.keys(faults).length === 1 ? 'one field is' : 'some fields are'} wrong.
              </span>
            )}
          </p>
        </form>
      )}
    </section>
  );
}

function WhoseChoice({ whose, choose }: { whose: Whose; choose: (whose: Whose) => void }) {
  return (
    <p class="supply-whose">
      <label>
        Figures{' '}
        <select value={whose} onChange={({ currentTarget }) => choose(currentTarget.value as Whose)}>
          <option value="project">of this project</option>
          <option value="agency">of the agency, for all its projects</option>
        </select>
      </label>{' '}
      <span class="quiet">
        A blank field takes what is in force without it, shown faintly:{' '}
        {whose === 'project' ? "the agency's figure, else the usual one." : 'the usual figure.'}
      </span>
    </p>
  );
}

const headings: Record<SupplyField, string> = {
  pack: 'Rings in a pack',
  spareShare: 'Spare, %',
  spareAtLeast: 'Spare at least, rings',
  onHand: 'On hand, rings',
};

interface FieldsProps {
  open: Open;
  value: Takeoff;
  faults: DraftFaults;
  put: (draft: SupplyDraft) => void;
}

function Fields({ open: { supplies, draft }, value, faults, put }: FieldsProps) {
  const sizes = new Map(value.rings.map((ring) => [ring.ring, sizeWords(ring, value.unit)]));
  return (
    <>
      <div class="supply-share">
        <span aria-hidden="true">Spare rings of every kind, %</span>
        <Field
          label="Spare rings of every kind, %"
          text={draft.spareShare}
          inForce={percentText(supplies.spareShare.value)}
          fault={faults['/spareShare']}
          onText={(spareShare) => put({ ...draft, spareShare })}
        />
      </div>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard. */}
      <section class="wide" tabIndex={0} aria-label="Packs, spares and stock of each ring">
        <table class="supply-fields">
          <thead>
            <tr>
              <th scope="col">Ring</th>
              {supplyFields.map((field) => (
                <th key={field} scope="col">
                  {headings[field]}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {draft.rings.map((ring, at) => (
              <tr key={ring.ring}>
                <th scope="row">
                  <b>{sizes.get(ring.ring)}</b> <span class="quiet">{ring.ring}</span>
                </th>
                {supplyFields.map((field) => (
                  <td key={field}>
                    <Field
                      label={`${headings[field]}, ${ring.ring}`}
                      text={ring[field]}
                      inForce={inForceText(supplies.rings[at], field)}
                      fault={faults[`/rings/${at}/${field}`]}
                      onText={(text) =>
                        put({
                          ...draft,
                          rings: draft.rings.map((one, index) =>
                            index === at ? { ...one, [field]: text } : one,
                          ),
                        })
                      }
                    />
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </section>
    </>
  );
}

interface FieldProps {
  label: string;
  text: string;
  inForce: string;
  fault?: string;
  onText: (text: string) => void;
}

function Field({ label, text, inForce, fault, onText }: FieldProps) {
  const id = useId();
  return (
    <>
      <input
        type="text"
        inputMode="decimal"
        size={9}
        aria-label={label}
        aria-invalid={fault !== undefined || undefined}
        aria-describedby={fault === undefined ? undefined : `${id}-fault`}
        placeholder={inForce}
        value={text}
        onInput={({ currentTarget }) => onText(currentTarget.value)}
      />
      {fault !== undefined && (
        <span id={`${id}-fault`} class="wrong field-fault">
          {fault}
        </span>
      )}
    </>
  );
}
