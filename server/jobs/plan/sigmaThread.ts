import { parentPort, workerData } from 'node:worker_threads';
import { openDatabase } from '../../store/database.ts';
import { inTransaction } from '../../store/transaction.ts';
import { loadPlanCommon } from './common.ts';
import { giveWay } from './priority.ts';
import { reachesOf } from './reach.ts';
import { settleSigmas } from './sigmas.ts';
import type { SigmaData } from './thread.ts';

/** What the thread of `settleInThread` does: settles the sigmas of a project's surveys, says them, and ends. */

const { target, request, snapshot } = workerData as SigmaData;
const database = openDatabase(target, 1);
try {
  await giveWay(database, 1);
  await inTransaction(
    database,
    async (reading) => {
      const common = await loadPlanCommon(reading.db, request);
      if (!common) throw new Error('The project is gone');
      const { far } = reachesOf(common.policy);
      parentPort!.postMessage(await settleSigmas(reading.sql, request, common, far));
    },
    { snapshot },
  );
} finally {
  await database.close();
  parentPort!.close();
}
