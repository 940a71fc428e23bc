import { expect } from 'vitest';
import type { Structure } from '#shared/structure.ts';
import { agencyPath, createTestApp, registerCsv, shotsCsv, type TestApp } from './app.ts';
import { storeFile } from './staged-import.ts';

/** A planned project of twelve covers in a row, `C-001` to `C-012`, 20 m apart northward. */
export interface TwelveCovers extends TestApp {
  /** Answers of 200 alone. */
  get<Body>(url: string): Promise<Body>;
  post(url: string, payload?: object): ReturnType<TestApp['inject']>;
  postOk<Body>(url: string, payload?: object): Promise<Body>;
  /** A box round the places of covers `first` to `last`, not closed. */
  boxRound(first: number, last: number): Promise<[number, number][]>;
}

export const id = (number: number) => `C-${String(number).padStart(3, '0')}`;
export const idsOf = (rows: readonly { id: string }[]) => rows.map((row) => row.id);
export const closed = (corners: [number, number][]) => ({
  type: 'Polygon',
  coordinates: [[...corners, corners[0]]],
});

// Seat 99.75, frame 0.15 and rim 99.95: 50 mm of chimney. The fifth stands higher; the sixth has no rim.
const register = registerCsv(12, (line, index) => {
  if (index === 4) return line.replace('99.95,', '100.16,');
  return index === 5 ? line.replace('99.95,', ',') : line;
});

export async function planTwelveCovers(): Promise<TwelveCovers> {
  const test = await createTestApp();
  await storeFile(test, 'register.csv', register);
  await storeFile(test, 'shots.csv', shotsCsv(12), { surfaceName: 'Levelled' });
  await test.plan();
  const get = async <Body>(url: string): Promise<Body> => {
    const answer = await test.inject(url);
    expect(answer.statusCode, answer.body).toBe(200);
    return answer.json<Body>();
  };
  const post = (url: string, payload?: object) => test.inject({ method: 'POST', url, payload });
  const postOk = async <Body>(url: string, payload?: object): Promise<Body> => {
    const answer = await post(url, payload);
    expect(answer.statusCode, answer.body).toBe(200);
    return answer.json<Body>();
  };
  const boxRound = async (first: number, last: number): Promise<[number, number][]> => {
    const low = await get<Structure>(`${agencyPath}/structures/${id(first)}`);
    const high = await get<Structure>(`${agencyPath}/structures/${id(last)}`);
    const [south, north] = [low.lat - 0.00005, high.lat + 0.00005];
    return [
      [8.999, south],
      [9.001, south],
      [9.001, north],
      [8.999, north],
    ];
  };
  return { ...test, get, post, postOk, boxRound };
}
