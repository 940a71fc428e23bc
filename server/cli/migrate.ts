import { readConfig } from '../config.ts';
import { startEmbeddedPostgres } from '../embedded/cluster.ts';
import { checkServerVersion, openDatabase } from '../store/database.ts';
import { migrate } from '../store/migrate.ts';

/** `npm run migrate`: brings the tables up to date without starting the server. */
const { databaseUrl, dataFolder } = readConfig(process.env);
const postgres = databaseUrl ? null : await startEmbeddedPostgres(dataFolder);
try {
  const database = openDatabase(postgres ? postgres.target : { url: databaseUrl! });
  await checkServerVersion(database);
  const applied = await migrate(database);
  console.log(applied.length > 0 ? `Applied ${applied.join(', ')}` : 'The tables are up to date');
  await database.close();
} finally {
  await postgres?.stop();
}
