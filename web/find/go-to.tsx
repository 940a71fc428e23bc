import { useState } from 'preact/hooks';
import { faultOf } from '../api.ts';
import { server } from '../load.ts';
import { announcement, project, show, view } from '../state.ts';
import { readSort, rowsQuery } from './rows.ts';

/** Orders that a text can be gone to in. */
type PlaceOrder = 'street' | 'id';

/** Whether a cover of the list, in that order, begins so. */
async function isThere(text: string, by: PlaceOrder): Promise<boolean> {
  const query = rowsQuery({ ...view.peek(), sort: by }, 1);
  query.set('at', text);
  const { items } = await server().coverPage(project.peek()!.id, query);
  return items.length > 0;
}

/** Into the middle of the list: to the first street, or the first id, that begins so; all before it stays above it. */
async function goTo(text: string): Promise<string | null> {
  const { by, isDown } = readSort(view.peek().sort);
  const orders: PlaceOrder[] = by === 'id' ? ['id', 'street'] : ['street', 'id'];
  try {
    for (const order of orders) {
      if (!(await isThere(text, order))) continue;
      const sort = order === by ? (isDown ? `-${by}` : by) : order;
      show({ sort: sort === 'street' ? null : sort, from: text });
      announcement.value = `The list is at "${text}" now, by ${order === 'id' ? 'cover' : 'street'}.`;
      return null;
    }
    return `No street and no cover of this list begins with "${text}".`;
  } catch (error) {
    return faultOf(error).message;
  }
}

/** A list of a city is not scrolled to its middle: a street or a cover is typed, and the list is read from there. */
export function GoTo() {
  const [text, setText] = useState(view.peek().from ?? '');
  const [fault, setFault] = useState<string | null>(null);
  const go = async (event: Event) => {
    event.preventDefault();
    const wanted = text.trim();
    if (wanted !== '') setFault(await goTo(wanted));
    else show({ from: null });
  };
  return (
    <form class="go-to" onSubmit={go}>
      <label>
        <span>Go to</span>
        <input
          id="go-to"
          type="text"
          autocomplete="off"
          maxLength={100}
          value={text}
          placeholder="street or cover"
          aria-label="Go to a street or a cover in the list"
          aria-invalid={fault !== null}
          aria-describedby={fault === null ? undefined : 'go-to-fault'}
          onInput={(event) => {
            setText(event.currentTarget.value);
            setFault(null);
          }}
        />
      </label>
      <button type="submit" class="link">
        Go
      </button>
      {view.value.from !== null && (
        <button
          type="button"
          class="link"
          onClick={() => {
            setText('');
            show({ from: null });
          }}
        >
          To the top
        </button>
      )}
      {fault !== null && (
        <span id="go-to-fault" class="go-to-fault" role="alert">
          {fault}
        </span>
      )}
    </form>
  );
}
