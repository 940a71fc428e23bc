import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';

/** Server-sent events to one reader (WHATWG HTML, section 9.2). */
export interface EventStream {
  /** Nobody reads on where it is not: what would only be said need not be looked up. */
  readonly isOpen: boolean;
  send(event: string, data: unknown): void;
  end(): void;
  onClose(listener: () => void): void;
}

/** A comment this often keeps proxies from closing a quiet stream. */
const heartbeatMs = 15_000;

declare module 'fastify' {
  interface FastifyInstance {
    openStreams: Set<EventStream>;
    /** From `preClose` on: what is opened later is ended at once. */
    endsStreams: boolean;
  }
}

/** Answers with a stream of events; the route returns `reply` and leaves the rest to the stream. */
export function openEventStream(request: FastifyRequest, reply: FastifyReply): EventStream {
  const { raw } = reply;
  const open = request.server.openStreams;
  reply.hijack();
  for (const [name, value] of Object.entries(reply.getHeaders())) {
    if (value !== undefined) raw.setHeader(name, value);
  }
  raw.writeHead(200, {
    'content-type': 'text/event-stream',
    'cache-control': 'no-store',
    // No other request comes after a stream: a connection that is kept open for one holds a closing server up.
    connection: 'close',
  });
  raw.write('retry: 2000\n\n');
  const listeners: (() => void)[] = [];
  const heartbeat = setInterval(() => raw.write(': still here\n\n'), heartbeatMs);
  const stream: EventStream = {
    get isOpen() {
      return !raw.writableEnded && !raw.destroyed;
    },
    send: (event, data) => {
      if (!raw.writableEnded) raw.write(`event: ${event}\ndata: ${JSON.stringify(data)}\n\n`);
    },
    end: () => raw.end(),
    onClose: (listener) => listeners.push(listener),
  };
  open.add(stream);
  request.raw.socket.setTimeout(0);
  raw.once('close', () => {
    clearInterval(heartbeat);
    open.delete(stream);
    for (const listener of listeners) listener();
  });
  if (request.server.endsStreams) stream.end();
  return stream;
}

/** Streams never end by themselves: a closing server ends them first, else it would wait for ever. */
export function useEventStreams(app: FastifyInstance): void {
  app.decorate('openStreams', new Set<EventStream>());
  app.decorate('endsStreams', false);
  app.addHook('preClose', async () => {
    app.endsStreams = true;
    for (const stream of app.openStreams) stream.end();
  });
}
