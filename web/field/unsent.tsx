import { type Picture, put, remove, type Waiting } from './database.ts';
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
        Waiting on this phone: {counted(outbox.value.length, 'record')}, {counted(waiting.length, 'photo')}.
        All of it is sent by itself when there is a signal.
      </p>
      <ul class="crew-rows">
        {outbox.value.map((one) => (
          <Row key={one.number} one={one} />
        ))}
      </ul>
      <button type="button" class="crew-button main" onClick={() => void exportAll()}>
        Save all of it as a file{sizeWords(waiting)}
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

const counted = (count: number, what: string) => `${count} ${what}${count === 1 ? '' : 's'}`;

/** Base64 makes three bytes four. */
const sizeWords = (photos: readonly Picture[]) => {
  const bytes = photos.reduce((sum, { blob }) => sum + blob.size, 0);
  return bytes === 0
    ? ''
    : `, about ${Math.max(1, Math.ceil((bytes * 4) / 3 / 100_000) / 10)} MB with photos`;
};

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
            onClick={() =>
              void put('outbox', { ...one, refused: null })
                .then(readAgain)
                .then(sendSoon)
            }
          >
            Send it again
          </button>
          <button
            type="button"
            class="crew-button"
            onClick={() => {
              void fileOf([one], [])
                .then(saveFile)
                .then(() => remove('outbox', [number]))
                .then(readAgain);
            }}
          >
            Save it as a file and clear it
          </button>
        </>
      )}
    </li>
  );
}

/** All of it in one file: records as they wait, pictures as data addresses under their hashes. */
async function fileOf(records: readonly Waiting[], photos: readonly Picture[]): Promise<File> {
  const madeAt = new Date().toISOString();
  const pictures = await Promise.all(
    photos.map(async ({ sha256, blob }) => ({ sha256, dataUrl: await dataUrlOf(blob) })),
  );
  return new File(
    [JSON.stringify({ madeAt, ...me.peek(), records, pictures }, null, 1)],
    `unsent-${madeAt.slice(0, 16).replace(':', '')}.json`,
    { type: 'application/json' },
  );
}

const dataUrlOf = (blob: Blob): Promise<string> =>
  new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(String(reader.result));
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(blob);
  });

function saveFile(file: File): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  link.click();
  // The browser reads it after this; taken away at once, some save an empty file.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** Handed to another app where the phone can do that with such files, else saved. */
async function exportAll(): Promise<void> {
  try {
    const file = await fileOf(
      outbox.peek(),
      pictures.peek().filter(({ isSent }) => !isSent),
    );
    const files = [file];
    if (!navigator.canShare?.({ files })) saveFile(file);
    else
      await navigator.share({ files, title: 'Unsent work' }).catch((error: unknown) => {
        if (!(error instanceof DOMException && error.name === 'AbortError')) saveFile(file);
      });
    say('');
  } catch (error) {
    say(`The file could not be made: ${error instanceof Error ? error.message : String(error)}`);
  }
}
