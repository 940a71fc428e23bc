import { createServer, type IncomingMessage, request, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';

/** What stands between a phone and the server, and how it fares: every request passes it. */
export interface ShakyLine {
  address: string;
  /** `method path` of each request that came so far, and of sent records their ids. */
  seen: { call: string; ids: string[] }[];
  /** What happens to the requests that `takes` names, until it is changed; null: all of them pass. */
  trouble: Trouble | null;
  stop: () => Promise<void>;
}

export interface Trouble {
  takes: (call: string) => boolean;
  /**
   * `refuse`: answered with this status and these words. `cutBody`: the server gets half of the body and the line is
   * gone. `cutAnswer`: the server answers, and nobody hears it. `alter`: the text of the answer is another.
   */
  what: { refuse: number; detail: string } | 'cutBody' | 'cutAnswer' | { alter: (text: string) => string };
}

/** A proxy to `target` on a port of its own. */
export async function shakyLine(target: () => string): Promise<ShakyLine> {
  const server = createServer((from, to) => void pass(line, target(), { from, to }));
  const line: ShakyLine = { address: '', seen: [], trouble: null, stop: async () => {} };
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  line.address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  line.stop = () =>
    new Promise((resolve) => {
      server.close(() => resolve());
      server.closeAllConnections();
    });
  return line;
}

interface Ends {
  from: IncomingMessage;
  to: ServerResponse;
}

async function pass(line: ShakyLine, target: string, { from, to }: Ends): Promise<void> {
  const parts: Buffer[] = [];
  for await (const part of from) parts.push(part as Buffer);
  const body = Buffer.concat(parts);
  const call = `${from.method} ${from.url}`;
  line.seen.push({ call, ids: idsOf(call, body) });
  const what = line.trouble?.takes(call) ? line.trouble.what : null;
  if (what !== null && typeof what === 'object' && 'refuse' in what) {
    to.writeHead(what.refuse, { 'content-type': 'application/problem+json' });
    to.end(JSON.stringify({ title: 'Refused', status: what.refuse, detail: what.detail }));
    return;
  }
  // Whole and as text, so that it can be altered.
  const { 'if-none-match': _, 'if-modified-since': __, ...asked } = from.headers;
  const headers = { ...(isAltered(what) ? asked : from.headers), 'accept-encoding': 'identity' };
  const onward = request(target + from.url, { method: from.method, headers });
  onward.on('error', () => to.destroy());
  onward.on('response', async (answer) => {
    if (what === 'cutAnswer') {
      await answer.resume().toArray();
      to.destroy();
      return;
    }
    if (isAltered(what)) {
      const text = Buffer.concat(await answer.toArray()).toString('utf8');
      const { 'content-length': _size, etag: _tag, 'last-modified': _time, ...kept } = answer.headers;
      to.writeHead(answer.statusCode!, kept).end(what.alter(text));
      return;
    }
    to.writeHead(answer.statusCode!, answer.headers);
    to.flushHeaders();
    answer.pipe(to);
    to.on('close', () => answer.destroy());
  });
  if (what === 'cutBody') {
    onward.write(body.subarray(0, Math.ceil(body.length / 2)), () => setTimeout(() => onward.destroy(), 50));
    return;
  }
  onward.end(body);
}

const isAltered = (what: Trouble['what'] | null): what is { alter: (text: string) => string } =>
  what !== null && typeof what === 'object' && 'alter' in what;

function idsOf(call: string, body: Buffer): string[] {
  if (!/^POST .*\/field-records$/.test(call)) return [];
  const { records } = JSON.parse(body.toString('utf8')) as { records: { id: string }[] };
  return records.map(({ id }) => id);
}
