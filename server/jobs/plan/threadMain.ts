import { setPriority } from 'node:os';
import { workerData } from 'node:worker_threads';
import { planPriority } from './priority.ts';
import type { SigmaData, ThreadData } from './thread.ts';

/** Begins a thread of thread.ts. Before what it does is loaded, which alone takes a second of a processor's time. */

// Whoever waits for an answer goes before a plan that takes a while anyway. On Linux this is of the thread alone, elsewhere it
// would be of the whole server.
if (process.platform === 'linux') setPriority(planPriority);

const { task } = workerData as SigmaData | ThreadData;
await (task === 'sigmas' ? import('./sigmaThread.ts') : import('./stripThread.ts'));
