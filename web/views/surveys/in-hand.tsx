import { useEffect } from 'preact/hooks';
import { sizeWords } from '../../imports/parts.ts';
import { sendings } from '../../imports/sending.ts';
import { discard, inHand, loadInHand, moving } from '../../imports/staged.ts';
import { show } from '../../state.ts';
import { FaultNote } from '../notes.tsx';
import { moment } from './stored-before.tsx';

/** How soon the list is read again while something in it is under way. */
const againMs = 1500;

/** Files that are here, but not stored: on their way, being read, or waiting for answers. */
export function InHand() {
  const { value, fault } = inHand.value;
  useEffect(() => {
    if (!value?.some(({ state }) => moving.includes(state))) return;
    const timer = setTimeout(() => void loadInHand(), againMs);
    return () => clearTimeout(timer);
  }, [value]);
  if (fault) return <FaultNote fault={fault} />;
  if (!value || value.length === 0) return null;
  return (
    <section class="in-hand" aria-label="Not stored yet">
      <h2>Not stored yet</h2>
      <ul>
        {value.map(({ id, fileName, said, at }) => {
          const sending = sendings.value[id];
          return (
            <li key={id}>
              <button type="button" class="link" onClick={() => show({ import: id })}>
                <b>{fileName}</b>
              </button>
              <span>
                {sending ? (
                  <>
                    <progress
                      max={sending.total || 1}
                      value={sending.sent}
                      aria-label={`Part of ${fileName} sent`}
                    />{' '}
                    {sending.state === 'needsFile'
                      ? 'broke off; open it to go on'
                      : `${sizeWords(sending.sent)} of ${sizeWords(sending.total)}`}
                  </>
                ) : (
                  said
                )}
              </span>
              <span class="quiet">{moment.format(new Date(at))}</span>
              <button type="button" class="link" onClick={() => void discard(id)}>
                Discard<span class="hidden"> {fileName}</span>
              </button>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
