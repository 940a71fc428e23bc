import { Socket } from 'node:net';

/** Takes what COPY gives, message by message. */
export interface MessageTaker {
  /** A message's bytes begin at `at`; they are good for as long as the call. */
  take(bytes: Buffer, at: number): void;
}

let waiting: MessageTaker | null = null;

/** To be called while the driver hears that a COPY begins: what it gives then comes here, past the driver. */
export function takeCopied(taker: MessageTaker): void {
  waiting = taker;
}

/** Types of messages from the server (PostgreSQL, "Message Formats"): a byte, then the length of all but that byte. */
const copyOutBegins = 'H'.charCodeAt(0);
const copyData = 'd'.charCodeAt(0);
const headLength = 5;

/**
 * A connection to a PostgreSQL whose rows of COPY do not go through the driver, which makes three buffers and a stream's
 * step of each: at millions of rows that is most of what reading them takes. All else is passed on as it comes.
 */
export class CopySocket extends Socket {
  /** Where the messages of the COPY under way go; null while there is none. */
  #taker: MessageTaker | null = null;
  /** Begin of a message whose rest has not come. */
  #held: Buffer | null = null;
  /** Bytes that are still to come of a message that is being passed on. */
  #ahead = 0;

  override emit(event: string | symbol, ...args: unknown[]): boolean {
    if (event !== 'data') return super.emit(event, ...args);
    let bytes = args[0] as Buffer;
    if (this.#held) bytes = Buffer.concat([this.#held, bytes]);
    this.#held = null;
    let at = 0;
    while (at < bytes.length) at = this.#taker ? this.#copied(bytes, at) : this.#passOn(bytes, at);
    return true;
  }

  /** Hands messages of COPY over; gives where the first one stands that is none, or is not whole. */
  #copied(bytes: Buffer, from: number): number {
    let at = from;
    while (at + headLength <= bytes.length) {
      if (bytes[at] !== copyData) {
        this.#taker = null;
        return at;
      }
      const end = at + 1 + bytes.readUInt32BE(at + 1);
      if (end > bytes.length) break;
      this.#taker!.take(bytes, at + headLength);
      at = end;
    }
    this.#held = at < bytes.length ? bytes.subarray(at) : null;
    return bytes.length;
  }

  /** Passes messages on up to one with which a COPY begins; gives where it ends, or the end of all. */
  #passOn(bytes: Buffer, from: number): number {
    let at = Math.min(bytes.length, from + this.#ahead);
    this.#ahead -= at - from;
    while (at + headLength <= bytes.length) {
      const end = at + 1 + bytes.readUInt32BE(at + 1);
      if (bytes[at] !== copyOutBegins) {
        this.#ahead = Math.max(0, end - bytes.length);
        at = Math.min(end, bytes.length);
        continue;
      }
      if (end > bytes.length) break;
      waiting = null;
      super.emit('data', bytes.subarray(from, end));
      this.#taker = waiting;
      waiting = null;
      return end;
    }
    if (at > from) super.emit('data', bytes.subarray(from, at));
    this.#held = at < bytes.length ? bytes.subarray(at) : null;
    return bytes.length;
  }
}

/** Connects to the socket of a PostgreSQL on this machine. */
export function connectCopySocket(path: string): Promise<CopySocket> {
  return new Promise((resolve, reject) => {
    const socket = new CopySocket();
    socket.once('error', reject);
    socket.connect(path, () => {
      socket.removeListener('error', reject);
      resolve(socket);
    });
  });
}
