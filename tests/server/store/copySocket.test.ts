import { createServer, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { connectCopySocket, takeCopied } from '../../../server/store/copySocket.ts';

/** A message of the protocol: its type, its length and its bytes. */
function message(type: string, bytes: Buffer): Buffer {
  const head = Buffer.alloc(5);
  head.write(type);
  head.writeUInt32BE(bytes.length + 4, 1);
  return Buffer.concat([head, bytes]);
}

const row = (number: number) => message('d', Buffer.from(`row ${number} ${'x'.repeat(number % 40)}`));
const rows = Array.from({ length: 300 }, (_, number) => row(number));
const begin = message('H', Buffer.from([1, 0, 0]));
/** Two answers with a COPY each, and a large message before, between and behind them. */
const large = message('D', Buffer.alloc(70_000, 7));
const answer = [large, begin, ...rows, message('c', Buffer.alloc(0)), message('Z', Buffer.from('I'))];
const sent = Buffer.concat([...answer, ...answer, large]);
/** What is left for the driver. */
const others = Buffer.concat([...answer, ...answer, large].filter((each) => each[0] !== 'd'.charCodeAt(0)));

const path = join(tmpdir(), `rimplane-copy-${process.pid}.sock`);
let pieces: number;
const server = createServer((socket: Socket) => {
  let at = 0;
  const next = (): void => {
    if (at >= sent.length) {
      socket.end();
      return;
    }
    socket.write(sent.subarray(at, at + pieces), () => setImmediate(next));
    at += pieces;
  };
  next();
});

beforeAll(() => new Promise<void>((done) => void server.listen(path, done)));
afterAll(() => new Promise<void>((done) => void server.close(() => done())));

async function read(takes: boolean): Promise<{ taken: string[]; passed: Buffer }> {
  const socket = await connectCopySocket(path);
  const taken: string[] = [];
  const passed: Buffer[] = [];
  const taker = {
    take: (bytes: Buffer, at: number) => {
      const length = bytes.readUInt32BE(at - 4) - 4;
      taken.push(bytes.toString('utf8', at, at + length));
    },
  };
  socket.on('data', (bytes: Buffer) => {
    passed.push(Buffer.from(bytes));
    if (takes && bytes.subarray(-begin.length).equals(begin)) takeCopied(taker);
  });
  await new Promise((done) => socket.once('close', done));
  return { taken, passed: Buffer.concat(passed) };
}

describe('a socket that takes rows of COPY out of what comes', () => {
  // From byte by byte to several answers at once: wherever a message is cut.
  it.each([3, 61, 4096, 1_000_000])(
    'in pieces of %i bytes',
    async (length) => {
      // Byte by byte over all of it would take a minute and show no more than three bytes at a time do.
      pieces = length;
      const { taken, passed } = await read(true);
      const texts = rows.map((each) => each.toString('utf8', 5));
      expect(taken).toEqual([...texts, ...texts]);
      expect(passed.equals(others)).toBe(true);
    },
    60_000,
  );

  it('passes everything on where nobody takes rows', async () => {
    pieces = 4096;
    const { taken, passed } = await read(false);
    expect(taken).toEqual([]);
    expect(passed.equals(sent)).toBe(true);
  });

  it('says why where nothing listens', async () => {
    await expect(connectCopySocket(`${path}.gone`)).rejects.toThrow('ENOENT');
  });
});
