import { remove, type Waiting } from './database.ts';
import { timeText } from './hole/standing.ts';
import { me, outbox, pictures, readAgain } from './night.ts';
import { recordWords } from './record-words.ts';
import { say } from './said.ts';
import { sendSoon } from './sync.ts';

/** All that the server does not have yet, with a way to carry it there by hand. */
export function Unsent({ onClose }: { onClose: () => void }) {
  const waiting = pictures.value.filter(({ isSent }) => !isSent);
  return (
    <main class="crew-main">
      <h1>Unsent work</h1>
      <p>
        {outbox.value.length} records and {waiting.length} photos wait on this phone. They are sent by
        themselves when there is a signal.
      </p>
      <ul class="crew-rows">
        {outbox.value.map((one) => (
          <Row key={one.number} one={one} />
        ))}
      </ul>
      <button type="button" class="crew-button main" onClick={() => void exportAll()}>
        Save all of it as a file
      </button>
      <button type="button" class="crew-button" onClick={sendSoon}>
        Try to send now
      </button>
      <button type="button" class="crew-button" onClick={onClose}>
        Back
      </button>
    </main>
  );
}

function Row({ one }: { one: Waiting }) {
  const { record, refused, number } = one;
  return (
    <li>
      <b>
        {record.structureId}: {recordWords(record.kind)}
      </b>
      <span>
        {timeText(record.deviceTime)}, {record.by}
      </span>
      {refused && (
        <>
          <span class="crew-refused">
            Not taken: {refused} Record it anew at the cover, then clear this one.
          </span>
          <button
            type="button"
            class="crew-button"
            onClick={() => {
              saveFile([one]);
              void remove('outbox', [number]).then(readAgain);
            }}
          >
            Save it as a file and clear it
          </button>
        </>
      )}
    </li>
  );
}

const fileOf = (records: readonly Waiting[]) =>
  new File(
    [JSON.stringify({ madeAt: new Date().toISOString(), ...me.peek(), records }, null, 1)],
    `unsent-${new Date().toISOString().slice(0, 16).replace(':', '')}.json`,
    { type: 'application/json' },
  );

function saveFile(records: readonly Waiting[]): void {
  const file = fileOf(records);
  const link = document.createElement('a');
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  link.click();
  URL.revokeObjectURL(link.href);
}

/** Handed to another app where the phone can do that with such files, else saved. Pictures go along where they are shared. */
async function exportAll(): Promise<void> {
  const records = outbox.peek();
  const photos = pictures
    .peek()
    .filter(({ isSent }) => !isSent)
    .map(({ sha256, blob }) => new File([blob], `${sha256}.${blob.type.split('/')[1]}`, { type: blob.type }));
  const files = [fileOf(records), ...photos];
  try {
    if (navigator.canShare?.({ files })) await navigator.share({ files, title: 'Unsent work' });
    else saveFile(records);
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') return;
    saveFile(records);
  }
  say('');
}
