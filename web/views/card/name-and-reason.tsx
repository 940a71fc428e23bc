import { useId } from 'preact/hooks';

interface Props {
  name: string;
  reason: string;
  onName: (name: string) => void;
  onReason: (reason: string) => void;
}

/** Whoever says something of a cover says who he is. */
export function NameAndReason({ name, reason, onName, onReason }: Props) {
  const id = useId();
  return (
    <>
      <div class="entry-row">
        <label for={`${id}-name`}>Your name</label>
        <input
          id={`${id}-name`}
          type="text"
          autocomplete="name"
          maxLength={100}
          value={name}
          onInput={({ currentTarget }) => onName(currentTarget.value)}
        />
      </div>
      <div class="entry-row">
        <label for={`${id}-reason`}>Reason</label>
        <input
          id={`${id}-reason`}
          type="text"
          autocomplete="off"
          maxLength={500}
          value={reason}
          onInput={({ currentTarget }) => onReason(currentTarget.value)}
        />
      </div>
    </>
  );
}
