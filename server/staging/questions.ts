import type { RawLine } from '#core/intake/types.ts';
import type { Question, Understanding } from '#core/intake/understanding.ts';
import { type LineKind, lineKinds } from '#shared/line.ts';
import type { ImportAnswers, ImportQuestion, ImportTarget, SurfaceStage } from '#shared/staged-import.ts';
import { surfaceStages } from '#shared/staged-import.ts';
import type { StoredSurface } from '../store/staging/surfaces.ts';
import { questionId } from './answers.ts';
import type { Part } from './open.ts';
import { likelyKind } from './shapes.ts';
import { differencesOf, type TargetSurface } from './surface.ts';

const lineWords: Readonly<Record<LineKind, string>> = {
  centre: 'centre lines, drawn up-station',
  crown: 'crown lines',
  gutter: 'gutter lines',
  edge: 'edges of the pavement',
  other: 'other lines',
};

const stageWords: Readonly<Record<SurfaceStage, string>> = {
  existing: 'the pavement before the work',
  milled: 'the milled surface',
  lift: 'a lift below the last',
  finished: 'the finished surface',
};

const partWords: Readonly<Record<Part['kind'], string>> = {
  shots: 'shots',
  structures: 'structures',
  design: 'design surfaces',
  lines: 'lines',
  grid: 'grid of elevations',
};

/** Which part of a file that holds several is meant. */
export function partQuestion(parts: readonly Part[], understood: Understanding): Question[] {
  if (parts.length < 2) return [];
  const id = ({ kind, name }: Part) => (name === null ? kind : `${kind}/${name}`);
  const shown = parts.find(
    ({ kind, name }) => kind === understood.kind && (name ?? understood.name) === understood.name,
  );
  return [
    {
      code: 'part',
      about: null,
      text: `The file holds ${parts.length} parts. Which one is to be stored with this import?`,
      choices: parts.map((part) => ({
        id: id(part),
        text: part.name === null ? partWords[part.kind] : `${partWords[part.kind]} "${part.name}"`,
      })),
      likely: shown ? id(shown) : null,
    },
  ];
}

/** What a file that is laid on a surface is likeliest a surface of. */
export const likelyStage = ({ kind }: Pick<Understanding, 'kind'>): SurfaceStage =>
  // Grids are flown or driven over what is there far more often than they are designed.
  kind === 'grid' ? 'existing' : 'finished';

/** Which surface it was when it was shot or drawn, and whether it is the one that the project has. */
export function surfaceQuestions(
  understood: Pick<Understanding, 'kind'>,
  target: ImportTarget,
  { stored, stage }: Pick<TargetSurface, 'stored' | 'stage'>,
): Question[] {
  const { kind } = understood;
  if (kind !== 'shots' && kind !== 'design' && kind !== 'grid') return [];
  if (stored) return sameSurface(target, stored);
  const asked: Question[] = [];
  if (!target.stage) {
    const choices = surfaceStages.map((id) => ({ id, text: stageWords[id] }));
    asked.push({
      code: 'stage',
      about: null,
      text: 'Which surface was it?',
      choices,
      likely: likelyStage(understood),
    });
  }
  if (stage === 'lift' && !target.lift) {
    const choices = [1, 2, 3, 4, 5].map((lift) => ({
      id: String(lift),
      text: `lift ${lift}, counted from below`,
    }));
    asked.push({ code: 'lift', about: null, text: 'Which lift is it the top of?', choices, likely: null });
  }
  return asked;
}

function sameSurface(target: ImportTarget, stored: StoredSurface): Question[] {
  const differences = differencesOf(target, stored);
  if (differences.length === 0) return [];
  const text = `The project has "${stored.name}" already, with ${differences.join('; ')}. Lay this on it all the same? Another name keeps them apart.`;
  const keep = { id: 'keep', text: 'yes: it belongs to that surface, which stays as it is described' };
  return [{ code: 'sameSurface', about: null, text, choices: [keep], likely: null }];
}

/** Where the positions of the first file of a project land: nothing else could tell a wrong system. */
export function whereQuestion({ lands, crs }: Pick<Understanding, 'lands' | 'crs'>): Question[] {
  if (lands === null || crs === null) return [];
  const at = `latitude ${lands.lat.toFixed(4)}, longitude ${lands.lon.toFixed(4)}`;
  return [
    {
      code: 'whereItLies',
      about: null,
      text: `Nothing that this project holds says where it lies, so that a wrong zone or system would not show. Read in ${crs.name ?? crs.code}, these positions land at ${at}. Is that the place?`,
      choices: [{ id: 'right', text: 'yes, they belong there', lands }],
      likely: null,
    },
  ];
}

/** What the lines of each word in the file stand for. */
export function lineQuestions(lines: readonly RawLine[]): Question[] {
  const counts = new Map<string, number>();
  for (const { role } of lines) counts.set(role, (counts.get(role) ?? 0) + 1);
  return [...counts].slice(0, mostRoles).map(([role, count]) => ({
    code: 'lineKind',
    about: role,
    text: count === 1 ? `What is the line of "${role}"?` : `What are the ${count} lines of "${role}"?`,
    choices: [
      ...lineKinds.map((id) => ({ id, text: lineWords[id] })),
      { id: 'leaveOut', text: 'not to be stored' },
    ],
    likely: likelyKind(role),
  }));
}

const mostRoles = 100;

/** Questions with their answers; one is open while its answer is none of its choices. */
export function withAnswers(questions: readonly Question[], answers: ImportAnswers): ImportQuestion[] {
  return questions.map((question) => {
    const { code, about, text, choices, likely } = question;
    const id = questionId(question);
    const answer = answers.questions?.[id] ?? null;
    const isFree = ['crs', 'zone'].includes(code) && answer !== null && /^(project|EPSG:\d+)$/.test(answer);
    const isOpen = !isFree && !(answer !== 'other' && choices.some((choice) => choice.id === answer));
    return {
      id,
      code,
      about,
      text,
      choices: choices.map((choice) => ({
        id: choice.id,
        text: choice.text,
        lands: choice.lands ?? null,
        inside: choice.inside ?? null,
        example: { ...choice.example },
      })),
      likely,
      answer,
      isOpen,
    };
  });
}
