import { keepCompiled } from './compiled.ts';
import { readConfig } from './config.ts';
import type { RunningServer } from './start.ts';

/** Reads the environment, starts, and stops once whatever asks for it first. */

const say = (line: string): void => console.error(line);

let server: RunningServer | null = null;
let stopping: Promise<never> | null = null;
let starting: Promise<RunningServer> | null = null;

/** A stop that takes longer than this is given up; PostgreSQL recovers at the next start. */
const stopLimitMs = 40_000;

function stop(code: number): Promise<never> {
  stopping ??= (async () => {
    // Should a part that waits for a dead database keep nothing alive, the process ends by itself: then with this.
    process.exitCode = code;
    setTimeout(() => process.exit(1), stopLimitMs).unref();
    const running = server ?? (await starting?.catch(() => null)) ?? null;
    let status = code;
    await running?.stop().catch((error) => {
      say(String(error));
      status = 1;
    });
    process.exit(status);
  })();
  return stopping;
}

// The terminal and npm may both pass the signal on; only the first counts.
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, () => void stop(0));
process.on('uncaughtException', (error) => {
  console.error(error);
  void stop(1);
});

try {
  const config = readConfig(process.env);
  keepCompiled(config.dataFolder);
  starting = import('./start.ts').then(({ startServer }) =>
    startServer(config, {
      say,
      onFatal: (detail) => {
        say(detail);
        void stop(1);
      },
    }),
  );
  server = await starting;
  if (!stopping) console.log(`Rimplane is at ${server.address} (Ctrl-C stops it)`);
} catch (error) {
  if (!stopping) sayFault(error);
  if (!stopping) process.exit(1);
}

function sayFault(error: unknown): void {
  const cause = error instanceof Error && error.cause instanceof Error ? `: ${error.cause.message}` : '';
  say(error instanceof Error ? `${error.message}${cause}` : String(error));
}
