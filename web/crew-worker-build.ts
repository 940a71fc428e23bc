import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Plugin } from 'vite';

const source = fileURLToPath(new URL('crew-worker.js', import.meta.url));
const published = ['/icon.svg', '/crew.webmanifest'];

/** Writes crew-worker.js: the worker with the list of all that the crew page is made of. */
export function crewWorker(): Plugin {
  return {
    name: 'crew-worker',
    enforce: 'post',
    generateBundle(_options, bundle) {
      const isDesk = (name: string) => name === 'index.html' || /^assets\/desk-/.test(name);
      const names = Object.keys(bundle).filter((name) => !isDesk(name) && !name.endsWith('.map'));
      const sum = createHash('sha256');
      for (const name of names.sort()) {
        const file = bundle[name];
        sum.update(name).update(file.type === 'chunk' ? file.code : file.source);
      }
      const page = (name: string) => (name === 'crew.html' ? '/crew' : `/${name}`);
      const files = [...names.map(page), ...published];
      const code = readFileSync(source, 'utf8')
        .replace('self.__FILES__', JSON.stringify(files))
        .replace('__SUM__', sum.digest('hex').slice(0, 16));
      this.emitFile({ type: 'asset', fileName: 'crew-worker.js', source: code });
    },
  };
}
