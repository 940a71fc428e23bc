import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { surfaceAt } from '#core/surface/design.ts';
import { loadDesign, Report } from '../../../server/cli/planInputs.ts';
import { Refusal } from '../../../server/cli/refusal.ts';

const folder = mkdtempSync(join(tmpdir(), 'rimplane-design-'));
afterAll(() => rmSync(folder, { recursive: true }));

function put(name: string, content: string): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

const pnts = ['0 0 10.00', '0 20 10.40', '20 20 10.80', '20 0 10.40', '40 10 30.00'];
const surface = (faces: string, name = 'finished') =>
  `<Surface name="${name}"><Definition surfType="TIN"><Pnts>${pnts.map((p, i) => `<P id="${i + 1}">${p}</P>`).join('')}</Pnts><Faces>${faces}</Faces></Definition></Surface>`;
const file = (inside: string, unit = '<Imperial linearUnit="foot"/>') =>
  `<LandXML><Units>${unit}</Units>${inside}</LandXML>`;
const faces = '<F>1 2 3</F><F>1 3 4</F><F i="1">4 3 5</F>';
const usFoot = 1200 / 3937;

async function refusal(path: string): Promise<string[]> {
  const said = await loadDesign(path, usFoot, new Report()).catch((error) => error);
  expect(said).toBeInstanceOf(Refusal);
  return said.lines;
}

describe('the design file of the plan command', () => {
  it('is laid out in metres of the grid, invisible faces left out', async () => {
    const report = new Report();
    const design = await loadDesign(put('good.xml', file(surface(faces))), usFoot, report);
    expect(design.name).toBe('finished');
    expect(surfaceAt(design, 10 * usFoot, 10 * usFoot)).toMatchObject({
      elevation: expect.closeTo(10.4 * usFoot, 9),
    });
    expect(surfaceAt(design, 10 * usFoot, 25 * usFoot)).toMatchObject({ reason: 'noDesign' });
    expect(report.bad).toBe(0);
    expect(report.lines).toEqual([expect.stringContaining('the other foot')]);
  });

  it('a faulty face is reported and the rest kept; an unused part is a note', async () => {
    const report = new Report();
    const path = put('faulty.xml', file(`${surface(`${faces}<F>1 2 99</F>`, '')}<Pipe name="p"/>`));
    const design = await loadDesign(path, usFoot, report);
    expect(design.name).toBe('faulty.xml');
    expect(design.faces).toHaveLength(6);
    expect(report.bad).toBe(1);
    expect(report.lines.filter((l) => l.startsWith('design: '))).toEqual([
      expect.stringContaining('not there'),
    ]);
    expect(report.lines.filter((l) => l.startsWith('note: design: Pipe'))).toHaveLength(1);
  });

  it.each([
    ['no-surface.xml', file('<CgPoint>1 2 3</CgPoint>'), /no triangulated surface/],
    ['two.xml', file(surface(faces, 'a') + surface(faces, 'b')), /2 surfaces \("a", "b"\)/],
    ['six.xml', file([...'abcdef'].map((n) => surface(faces, n)).join('')), /6 surfaces .*, …\)/],
    ['entities.xml', '<!DOCTYPE x [<!ENTITY a "b">]><LandXML/>', /document type declaration \(DOCTYPE\)/],
    ['broken.xml', '<LandXML>', /not well-formed/],
  ])('%s is refused in one line', async (name, content, said) => {
    const lines = await refusal(put(name, content));
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatch(said);
  });

  it('a file that is not there, or is a folder, is named', async () => {
    expect(await refusal(folder)).toEqual([expect.stringContaining('EISDIR')]);
    expect(await refusal(join(folder, 'nowhere.xml'))).toEqual([expect.stringContaining('no such file')]);
  });
});
