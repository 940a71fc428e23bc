import { useEffect, useState } from 'preact/hooks';
import type { MadeRecord } from '#core/field/facts.ts';
import { TextField } from '../keys/text-field.tsx';
import { allOf, timeText } from '../standing.ts';
import { UndoSheet } from '../steps/undo-sheet.tsx';
import type { Hole } from '../types.ts';
import { shrink } from './shrink.ts';

const captions = ['Before', 'Seat', 'Dry stack, marked', 'Joints', 'After'] as const;

/** Pictures of this cover: taken or picked, made small on the phone, sent when there is a signal. */
export function PhotoTab({ hole }: { hole: Hole }) {
  const [picture, setPicture] = useState<Blob | null>(null);
  const [caption, setCaption] = useState('');
  const [fault, setFault] = useState<string | null>(null);
  const take = async (file: File | undefined) => {
    if (!file) return;
    setFault(null);
    try {
      setPicture(await shrink(file));
    } catch {
      setFault(`${file.name} is not a picture that this phone can read. Take another one.`);
    }
  };
  const keep = async () => {
    try {
      const sha256 = await hole.pictures.keep(picture!);
      hole.record('photo', {
        sha256,
        bytes: picture!.size,
        mediaType: 'image/jpeg',
        caption: caption.trim(),
      });
      setPicture(null);
      setCaption('');
    } catch (error) {
      setFault(
        `Not kept: ${(error instanceof Error ? error.message : 'no room on this phone').replace(/\.$/, '')}. The picture is still here.`,
      );
    }
  };
  const photos = allOf(hole.records, 'photo');
  return (
    <div class="photo-tab">
      {picture === null ? (
        <div class="row">
          <Take word="Take a picture" isCamera onFile={take} />
          <Take word="Pick one" isCamera={false} onFile={take} />
        </div>
      ) : (
        <section class="new-photo" aria-label="New picture">
          <Picture blob={picture} alt="The picture just taken" />
          <TextField label="What it shows" value={caption} most={200} often={captions} onText={setCaption} />
          <div class="row">
            <button type="button" class="big main" onClick={keep}>
              Keep it
            </button>
            <button type="button" class="big" onClick={() => setPicture(null)}>
              Throw away
            </button>
          </div>
        </section>
      )}
      {fault && (
        <p class="note stop" role="alert">
          {fault}
        </p>
      )}
      <p>Pictures are made small on the phone. Their place and camera notes are taken out.</p>
      {photos.length === 0 ? (
        <p>No picture of this cover yet.</p>
      ) : (
        <ol class="photos" aria-label="Pictures of this cover">
          {[...photos].reverse().map((record) => (
            <Kept key={record.id} hole={hole} record={record} />
          ))}
        </ol>
      )}
    </div>
  );
}

function Take({
  word,
  isCamera,
  onFile,
}: {
  word: string;
  isCamera: boolean;
  onFile: (file: File | undefined) => void;
}) {
  return (
    <label class={`big take${isCamera ? ' main' : ''}`}>
      {word}
      <input
        type="file"
        accept="image/*"
        capture={isCamera ? 'environment' : undefined}
        onChange={(event) => {
          onFile(event.currentTarget.files?.[0]);
          event.currentTarget.value = '';
        }}
      />
    </label>
  );
}

function Kept({ hole, record }: { hole: Hole; record: MadeRecord<'photo'> }) {
  const { sha256, caption, bytes } = record.facts;
  const [blob, setBlob] = useState<Blob | null>(null);
  const [isAsking, setAsking] = useState(false);
  useEffect(() => {
    let isHere = true;
    void hole.pictures.find(sha256).then((found) => isHere && setBlob(found));
    return () => {
      isHere = false;
    };
  }, [sha256]);
  const isSent = hole.pictures.isSent(sha256) && hole.isSent(record.id);
  return (
    <li>
      {blob ? (
        <Picture blob={blob} alt={caption || 'No caption'} />
      ) : (
        <p class="no-picture">Not on this phone</p>
      )}
      <div>
        <b>{caption || 'No caption'}</b>
        <small>
          {record.by}, {timeText(record.deviceTime)}, {Math.max(1, Math.round(bytes / 1000))} kB
        </small>
        <small class={isSent ? undefined : 'unsent'}>{isSent ? 'Sent' : 'On this phone, not sent yet'}</small>
      </div>
      {isAsking ? (
        <UndoSheet record={hole.record} id={record.id} onDone={() => setAsking(false)} />
      ) : (
        <button type="button" class="undo" onClick={() => setAsking(true)}>
          Undo
        </button>
      )}
    </li>
  );
}

function Picture({ blob, alt }: { blob: Blob; alt: string }) {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(() => {
    const made = URL.createObjectURL(blob);
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [blob]);
  return address === null ? null : <img src={address} alt={alt} />;
}
