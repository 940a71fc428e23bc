import { setTimeout as rest } from 'node:timers/promises';
import type { Database } from '../../../server/store/database.ts';
import { seeded } from '../../helpers/corridor.ts';
import type { Figure } from '../types.ts';
import { ask } from './ask.ts';
import { drawTiles, figure, milliseconds, pathOf, quantile } from './tiles.ts';

const users = 200;
/** How long somebody looks before he goes on, and how many tiles a screen has. */
const restMs = 2000;
const tilesOfScreen = 6;

/** Many who look at the map at once: each asks for a screen of tiles, rests, and goes to another place. */
export async function loadFigures(address: string, database: Database, seconds: number): Promise<Figure[]> {
  const asked = await drawTiles(database, 2000);
  const random = seeded(53);
  const until = performance.now() + 1000 * seconds;
  const times: number[] = [];
  const faults: string[] = [];
  const user = async () => {
    const known = new Map<string, string>();
    await rest(restMs * random());
    while (performance.now() < until) {
      const { projectId, address: middle } = asked[Math.floor(random() * asked.length)];
      const screen = Array.from({ length: tilesOfScreen }, (_, index) => ({
        projectId,
        address: { ...middle, x: middle.x + (index % 3), y: middle.y + Math.floor(index / 3) },
      }));
      await Promise.all(
        screen.map(async (each) => {
          const path = new URL(pathOf(each), address).href;
          times.push(
            await milliseconds(async () => {
              const tag = known.get(path);
              try {
                const { status, etag } = await ask(path, tag ? { 'if-none-match': tag } : {});
                if (etag !== undefined) known.set(path, etag);
                if (![200, 204, 304].includes(status)) faults.push(`${status}`);
              } catch (error) {
                // A connection that was refused or lost is an error like any other.
                faults.push((error as NodeJS.ErrnoException).code ?? String(error));
              }
            }),
          );
        }),
      );
      await rest(restMs);
    }
  };
  await Promise.all(Array.from({ length: users }, user));
  const said = faults.length === 0 ? '' : ` (${[...new Set(faults)].join(', ')})`;
  const name = `${users} users for ${seconds} s, ${Math.round(times.length / seconds)} tiles/s, ${faults.length} errors${said}`;
  return [0.5, 0.99].map((share) =>
    figure(`${name}, p${100 * share}`, quantile(times, share), {
      beside: 'p50 of the same',
      besideMs: quantile(times, 0.5),
      aim: share === 0.99 ? 'under 250,000 µs' : undefined,
    }),
  );
}
