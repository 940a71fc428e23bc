import { parentPort, workerData } from 'node:worker_threads';
import { openDatabase } from '../../store/database.ts';
import { inTransaction } from '../../store/transaction.ts';
import { loadPlanCommon } from './common.ts';
import { giveWay } from './priority.ts';
import type { Strip } from './strips.ts';
import { planThreadConnections, type ThreadData, type ThreadMessage, type ThreadOrder } from './thread.ts';
import { type DraftHead, planBand } from './whole.ts';

/** What a thread of thread.ts does: strips, until there are no more. */

const { target, request, snapshot } = workerData as ThreadData;
const say = (message: ThreadMessage): void => parentPort!.postMessage(message);
const drafted = Promise.withResolvers<DraftHead>();
let ordered = Promise.withResolvers<readonly Strip[] | 'end'>();
parentPort!.on('message', (order: ThreadOrder) => {
  if (order === 'end') ordered.resolve(order);
  else if ('draft' in order) drafted.resolve(order.draft);
  else ordered.resolve(order.band);
});
const database = openDatabase(target, planThreadConnections);
try {
  await giveWay(database, planThreadConnections);
  await inTransaction(
    database,
    async (reading) => {
      const common = await loadPlanCommon(reading.db, request);
      if (!common) throw new Error('The project is gone');
      const tell = (covers: number): void => {
        if (covers > 0) say({ covers });
      };
      say('ready');
      for (;;) {
        const band = await ordered.promise;
        if (band === 'end') return;
        ordered = Promise.withResolvers();
        const work = { database, reading, request, common, draft: drafted.promise, tell };
        say({ planned: await planBand(work, band) });
      }
    },
    { snapshot },
  );
} finally {
  await database.close();
  parentPort!.close();
}
