/**
 * `node tests/bench/city/into.ts [--structures=N] [--covers=N] [--shots=N]`: lays the invented city into the database of
 * DATABASE_URL, else into the embedded one of DATA_DIR, and says how long that took.
 */
import { readConfig } from '../../../server/config.ts';
import { startEmbeddedPostgres } from '../../../server/embedded/cluster.ts';
import { openDatabase } from '../../../server/store/database.ts';
import { migrate } from '../../../server/store/migrate.ts';
import { layCity } from './lay.ts';
import { readSize } from './layout.ts';

const config = readConfig(process.env);
const own = config.databaseUrl ? null : await startEmbeddedPostgres(config.dataFolder);
const database = openDatabase(own ? own.target : { url: config.databaseUrl! });
try {
  await migrate(database);
  const start = performance.now();
  const size = readSize(process.argv);
  const { agencyId, projectId } = await layCity(database, size);
  const seconds = (performance.now() - start) / 1000;
  const { structures, covers, shots } = size;
  process.stdout.write(
    `${agencyId}/${projectId}: ${structures} structures, ${covers} covers, ${shots} shots in ${seconds.toFixed(1)} s\n`,
  );
} finally {
  await database.close();
  await own?.stop();
}
