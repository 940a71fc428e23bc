import { Agent, request } from 'node:http';

/** Connections stay open, as a browser's do. */
const agent = new Agent({ keepAlive: true, maxSockets: Infinity, maxFreeSockets: Infinity });

/** What Chromium asks for of this machine. */
const codings = 'gzip, deflate, br, zstd';

export interface Answer {
  status: number;
  etag: string | undefined;
}

/**
 * Asks for an address and takes the whole answer as it comes, compressed: what a browser makes of it afterwards is no time
 * of the server's, and fetch would take more of the processor than the server does.
 */
export function ask(url: string, headers: Record<string, string> = {}): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const sent = request(url, { agent, headers: { 'accept-encoding': codings, ...headers } }, (answer) => {
      answer.once('end', () => resolve({ status: answer.statusCode!, etag: answer.headers.etag }));
      answer.once('error', reject);
      answer.resume();
    });
    // A connection that the server closed while it was idle: a browser asks once more (RFC 9112, section 9.3.1).
    sent.once('error', (error: NodeJS.ErrnoException) => {
      if (sent.reusedSocket && error.code === 'ECONNRESET') resolve(ask(url, headers));
      else reject(error);
    });
    sent.end();
  });
}
