import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Rolldown } from 'vite';
import { describe, expect, it } from 'vitest';
import { reachedFrom } from '../../../web/crew-worker-build.ts';

const web = fileURLToPath(new URL('../../../web/', import.meta.url));
const manifest = JSON.parse(readFileSync(`${web}public/crew.webmanifest`, 'utf8'));
interface Icon {
  src: string;
  sizes: string;
  type: string;
  purpose: string;
}

/** Width and height as the file's IHDR chunk states them: PNG specification (W3C), 11.2.1. */
function sizeOfPng(path: string): string {
  const bytes = readFileSync(path);
  expect(bytes.subarray(1, 4).toString('latin1')).toBe('PNG');
  return `${bytes.readUInt32BE(16)}x${bytes.readUInt32BE(20)}`;
}

describe('the crew page as an app', () => {
  it('says all that a phone asks of a page that it installs', () => {
    // Members of the Web Application Manifest (W3C).
    expect(manifest).toMatchObject({
      id: '/crew',
      start_url: '/crew',
      scope: '/crew',
      display: 'standalone',
      theme_color: '#16201f',
      background_color: '#ffffff',
    });
    expect(manifest.short_name.length).toBeLessThanOrEqual(12);
    expect(manifest.name).not.toBe('');
  });

  it('has every icon that it names, of the size that it states, plain and for masks', () => {
    const pictures = (manifest.icons as Icon[]).filter(({ type }) => type === 'image/png');
    expect(pictures.map(({ sizes, purpose }) => `${sizes} ${purpose}`)).toEqual([
      '192x192 any',
      '512x512 any',
      '192x192 maskable',
      '512x512 maskable',
    ]);
    for (const { src, sizes } of pictures) expect(sizeOfPng(`${web}public${src}`)).toBe(sizes);
    for (const { src } of manifest.icons as Icon[]) expect(existsSync(`${web}public${src}`)).toBe(true);
    const [, own] = /rel="apple-touch-icon" href="([^"]+)"/.exec(readFileSync(`${web}crew.html`, 'utf8'))!;
    expect(sizeOfPng(`${web}public${own}`)).toBe('180x180');
  });
});

describe('the files that a phone keeps', () => {
  const chunk = (code: string, importedCss: string[] = []) => ({
    type: 'chunk',
    code,
    viteMetadata: { importedCss: new Set(importedCss) },
  });
  const asset = (source: string) => ({ type: 'asset', source });
  const bundle = {
    'crew.html': asset('<script src="/assets/crew-1.js"></script>'),
    'index.html': asset('<script src="/assets/desk-1.js"></script>'),
    'assets/crew-1.js': chunk('import("./late-1.js"); import "./both-1.js"'),
    'assets/late-1.js': chunk('new URL("/assets/worker-1.mjs")', ['assets/late-1.css']),
    'assets/late-1.css': asset('@font-face { src: url(/assets/face-1.woff2) }'),
    'assets/face-1.woff2': asset('desk-1.js'),
    'assets/worker-1.mjs': asset(''),
    'assets/both-1.js': chunk(''),
    'assets/desk-1.js': chunk('import("./desk-map-1.js"); import "./both-1.js"'),
    'assets/desk-map-1.js': chunk(''),
  } as unknown as Rolldown.OutputBundle;

  it('are all that the page comes to, late parts with their styles, faces and workers, and none of the desk’s', () => {
    expect(reachedFrom('crew.html', bundle)).toEqual([
      'assets/both-1.js',
      'assets/crew-1.js',
      'assets/face-1.woff2',
      'assets/late-1.css',
      'assets/late-1.js',
      'assets/worker-1.mjs',
      'crew.html',
    ]);
  });
});
