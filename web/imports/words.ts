import type {
  ImportCounts,
  ImportPreview,
  ImportState,
  StagedImport,
  StagedKind,
} from '#shared/staged-import.ts';
import { sizeWords } from './parts.ts';

export const count = (number: number): string => number.toLocaleString('en-US');

const nouns: Readonly<Record<StagedKind, readonly [one: string, many: string]>> = {
  structures: ['casting', 'castings'],
  shots: ['shot', 'shots'],
  design: ['triangle', 'triangles'],
  lines: ['line', 'lines'],
  // Cells become triangles between their centres, and those are counted.
  grid: ['triangle', 'triangles'],
};

export const kindWords = (kind: StagedKind | null): string =>
  kind === null ? 'not read yet' : nouns[kind][1];

/** `604 shots`, `1 casting`. */
export const countWords = (kind: StagedKind, number: number): string =>
  `${count(number)} ${nouns[kind][number === 1 ? 0 : 1]}`;

const formats: Readonly<Record<string, string>> = {
  delimited: 'A text file',
  landxml: 'A LandXML file',
  geojson: 'A GeoJSON file',
  shapefile: 'A shapefile',
  geopackage: 'A GeoPackage',
  dxf: 'A DXF drawing',
  geotiff: 'A GeoTIFF',
};

export const formatWords = (format: string): string => formats[format] ?? `A ${format} file`;

export const unitWords: Readonly<Record<string, string>> = {
  m: 'metres',
  mm: 'millimetres',
  cm: 'centimetres',
  in: 'inches',
  ft: 'international feet',
  'us-ft': 'US survey feet',
  degree: 'degrees',
};

const sources: Readonly<Record<string, string>> = {
  file: 'the file says so',
  crs: 'the unit of that grid',
  given: 'as you said',
  remembered: 'as said of a file like it',
  heading: 'its heading says so',
  guess: 'assumed until you say',
  project: 'the project’s',
};

export const fromWords = (from: string): string => sources[from] ?? 'not known';

/** `Positions in EPSG:2264, NAD83 / North Carolina (ftUS), as you said.` Without a system it says so. */
export function positionWords({ crs, units }: Pick<ImportPreview, 'crs' | 'units'>): string {
  const { horizontal } = units;
  const unit = horizontal.unit === null ? '' : `, in ${unitWords[horizontal.unit] ?? horizontal.unit}`;
  if (!crs?.code) {
    const written = crs?.text ? ` The file writes "${crs.text.slice(0, 80)}".` : '';
    return `Nothing settles which grid the positions are in${unit}.${written}`;
  }
  return `Positions in ${crs.code}${crs.name ? `, ${crs.name}` : ''} (${fromWords(crs.from)})${unit}.`;
}

export function elevationWords({ units, bounds }: Pick<ImportPreview, 'units' | 'bounds'>): string {
  if (!bounds || bounds.minElevation === null) return '';
  const { unit, from } = units.vertical;
  if (unit === null) return 'Elevations in a unit that nothing settles.';
  return `Elevations in ${unitWords[unit] ?? unit} (${fromWords(from)}).`;
}

export const toStore = ({ counts }: Pick<ImportPreview, 'counts'>): number => counts.new + counts.changed;

/** The four figures of a preview; what was done with them once it is stored. */
export function figures(counts: ImportCounts, isStored: boolean): [number, string][] {
  return [
    [counts.new, isStored ? 'added' : 'new'],
    [counts.same, 'same as before'],
    [counts.changed, isStored ? 'changed' : 'would change'],
    [counts.refused, counts.refused === 1 ? 'is left out' : 'are left out'],
  ];
}

const small = ['No', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine'];
export const numberWord = (number: number): string => small[number] ?? count(number);

const storing: readonly ImportState[] = ['stored', 'undone'];

/** First words of the foot bar: whether anything is stored. */
export function storedWords({ state, preview }: Pick<StagedImport, 'state' | 'preview'>): string {
  if (state === 'undone') return 'Undone: nothing of this file is stored.';
  if (state === 'discarded') return 'Discarded: nothing of this file is stored.';
  if (state === 'stored' && preview) return `Stored: ${countWords(preview.kind, toStore(preview))}.`;
  return storing.includes(state) ? 'Stored.' : 'Nothing is stored yet.';
}

/** What is missing before it can be stored. `sending`: bytes on their way, where this page sends them. */
export function missingWords(
  { state, preview, files, said }: StagedImport,
  sending?: { sent: number; total: number },
): string {
  switch (state) {
    case 'uploading': {
      const sent = sending?.sent ?? sum(files.map((file) => file.receivedBytes));
      const total = sum(files.map((file) => file.sizeBytes));
      return `${sizeWords(sent)} of ${sizeWords(total)} are with the server.`;
    }
    case 'uploaded':
      return 'The file has to be read first.';
    case 'reading':
      return 'The file is being read.';
    case 'storing':
      return 'Storing: all of it or nothing.';
    case 'failed':
      return said.endsWith('.') ? said : `${said}.`;
    case 'ready':
      return preview ? readyWords(preview) : '';
    default:
      return '';
  }
}

function readyWords(preview: ImportPreview): string {
  const open = preview.questions.filter(({ isOpen }) => isOpen).length;
  const canUndo = 'Storing can be undone.';
  if (open > 0)
    return `${numberWord(open)} question${open === 1 ? '' : 's'} left before you can store. ${canUndo}`;
  if (!preview.storable) return preview.storableWhy ?? 'This kind cannot be stored.';
  if (toStore(preview) === 0)
    return preview.counts.same > 0
      ? 'All of it is here already: storing would change nothing.'
      : 'There is nothing in it that can be stored.';
  return canUndo;
}

const sum = (numbers: number[]) => numbers.reduce((all, number) => all + number, 0);

/** `Store 604 shots`; the button cannot be pressed where there is nothing to store or something to answer. */
export function storeButton({ state, preview }: Pick<StagedImport, 'state' | 'preview'>): {
  words: string;
  isReady: boolean;
} {
  if (!preview || toStore(preview) === 0) return { words: 'Store', isReady: false };
  const isReady = state === 'ready' && preview.storable && preview.questions.every(({ isOpen }) => !isOpen);
  return { words: `Store ${countWords(preview.kind, toStore(preview))}`, isReady };
}
