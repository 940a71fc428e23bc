import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';
import { crewWorker } from './crew-worker-build.ts';

const folder = (path: string) => fileURLToPath(new URL(path, import.meta.url));

export default defineConfig({
  root: folder('.'),
  plugins: [crewWorker()],
  resolve: {
    alias: [
      { find: /^#core\//, replacement: `${folder('../core')}/` },
      { find: /^#shared\//, replacement: `${folder('../shared')}/` },
    ],
  },
  build: {
    outDir: folder('./dist'),
    emptyOutDir: true,
    rollupOptions: { input: { desk: folder('index.html'), crew: folder('crew.html') } },
    target: 'es2022',
    // MapLibre alone is past Vite's default warning size; the limit that counts is measured in the tests.
    chunkSizeWarningLimit: 1500,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  server: {
    // The slash keeps web/api.ts, which Vite serves itself, out of it.
    proxy: { '^/(api|tiles)/': { target: process.env.RIMPLANE_SERVER ?? 'http://127.0.0.1:4150' } },
  },
});
