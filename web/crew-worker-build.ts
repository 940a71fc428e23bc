import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Plugin, Rolldown } from 'vite';

type Bundle = Rolldown.OutputBundle;

const source = fileURLToPath(new URL('crew-worker.js', import.meta.url));
const published = [
  '/icon.svg',
  '/crew.webmanifest',
  ...['crew-192', 'crew-512', 'crew-maskable-192', 'crew-maskable-512', 'apple-touch-icon'].map(
    (name) => `/${name}.png`,
  ),
];

/** Writes crew-worker.js: the worker with the list of all that the crew page is made of. */
export function crewWorker(): Plugin {
  return {
    name: 'crew-worker',
    enforce: 'post',
    generateBundle(_options, bundle) {
      const names = reachedFrom('crew.html', bundle);
      const sum = createHash('sha256');
      for (const name of names) sum.update(name).update(contentOf(bundle[name]));
      const page = (name: string) => (name === 'crew.html' ? '/crew' : `/${name}`);
      const files = [...names.map(page), ...published];
      const code = readFileSync(source, 'utf8')
        .replace('self.__FILES__', JSON.stringify(files))
        .replace('__SUM__', sum.digest('hex').slice(0, 16));
      this.emitFile({ type: 'asset', fileName: 'crew-worker.js', source: code });
    },
  };
}

const stylesOf = (file: Bundle[string]) =>
  file.type === 'chunk' ? [...(file.viteMetadata?.importedCss ?? [])].join(' ') : '';
const contentOf = (file: Bundle[string]) => (file.type === 'chunk' ? file.code : file.source);

/**
 * What a page names, what that names in its turn, and so on, in order of their names: scripts, styles, fonts and workers
 * alike stand in the built text by their own hashed names, so nothing that the page may ask for is left out. Styles of parts
 * that are loaded late are written into the text after this, so their names are asked of Vite.
 */
export function reachedFrom(page: string, bundle: Bundle): string[] {
  const all = Object.keys(bundle).filter((name) => name.startsWith('assets/') && !name.endsWith('.map'));
  const reached = [page];
  for (const name of reached) {
    if (!/\.(html|css|m?js)$/.test(name)) continue;
    const text = `${contentOf(bundle[name])} ${stylesOf(bundle[name])}`;
    for (const other of all)
      if (!reached.includes(other) && text.includes(other.slice('assets/'.length))) reached.push(other);
  }
  return reached.sort();
}
