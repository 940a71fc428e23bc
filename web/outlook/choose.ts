import { signal } from '@preact/signals';
import { faultOf } from '../api.ts';
import { server } from '../load.ts';
import { answer, shownRows } from './answer.ts';
import { csvQuery } from './asked.ts';
import { chosenRow } from './drawing.ts';

/** A cover of the map that the table does not hold, with its answer in words once that is here. */
export interface FarCover {
  id: string;
  lon: number;
  lat: number;
  text: string | null;
}

export const farCover = signal<FarCover | null>(null);

/** Marks a cover of the map in the table; one that is not among the rows is asked about by itself. */
export async function chooseOnMap(id: string, [lon, lat]: readonly [number, number]): Promise<void> {
  chosenRow.value = id;
  farCover.value = null;
  const body = answer.peek().value?.body;
  if (!body || shownRows.peek().some((row) => row.id === id)) return;
  farCover.value = { id, lon, lat, text: null };
  const text = await answerOf(id, body);
  if (farCover.peek()?.id === id) farCover.value = { id, lon, lat, text };
}

async function answerOf(id: string, body: Parameters<typeof csvQuery>[0]): Promise<string> {
  try {
    // One cover is asked about: where it lies does not matter.
    const query = csvQuery({ ...body, streets: undefined }, []);
    return (await server().structureOutlook(id, query)).next.text;
  } catch (error) {
    return faultOf(error).message;
  }
}
