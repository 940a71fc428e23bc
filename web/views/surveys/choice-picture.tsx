import { type LengthUnit, metresPer } from '#core/units/length.ts';
import { type LineKind, lineKinds } from '#shared/line.ts';
import {
  type ImportPreview,
  type ImportQuestion,
  type StagedKind,
  type SurfaceStage,
  surfaceStages,
} from '#shared/staged-import.ts';
import { ElevationRange } from '../../drawings/elevation-range.tsx';
import { distanceWords, elsewhereWords, ReadingMap } from '../../drawings/reading-map.tsx';
import { SizeChoice } from '../../drawings/size-choice.tsx';
import { HeightChoice, LineChoice, StageChoice } from '../../drawings/street-choices.tsx';
import { castingGaps, type Frame, flatFrom, frameOf, type LonLat } from '../../imports/frame.ts';
import { covers, project, register, streets } from '../../state.ts';

type Choice = ImportQuestion['choices'][number];

/** What a choice looks like, and a few words for what can be seen in it. */
export interface Pictured {
  picture: preact.ComponentChild;
  caption: string;
}

const isUnit = (id: string): id is LengthUnit => Object.hasOwn(metresPer, id);

/** A drawing for each choice of a question, all at one scale; a question that nothing can be drawn for has none. */
export function picturesOf(question: ImportQuestion, preview: ImportPreview): Map<string, Pictured> {
  const { code, choices } = question;
  if (preview.readings.some((reading) => reading.question === question.id)) return maps(question, preview);
  const each = (draw: (choice: Choice) => Pictured | null) =>
    new Map(
      choices.flatMap((choice) => {
        const pictured = draw(choice);
        return pictured ? [[choice.id, pictured] as const] : [];
      }),
    );
  switch (code) {
    case 'columnUnit':
      return sizes(question, preview);
    case 'verticalUnit':
      return elevations(question, preview);
    case 'stage':
    case 'sameSurface':
      return each(({ id }) =>
        surfaceStages.includes(id as SurfaceStage)
          ? { picture: <StageChoice stage={id as SurfaceStage} />, caption: '' }
          : null,
      );
    case 'lineKind':
      return each(({ id }) =>
        lineKinds.includes(id as LineKind)
          ? { picture: <LineChoice kind={id as LineKind} />, caption: '' }
          : null,
      );
    case 'whichElevation':
      return each(({ id }) => ({ picture: <HeightChoice of={id} />, caption: '' }));
    default:
      return new Map();
  }
}

const projectUnit = (): 'ft' | 'm' => (project.value?.elevationUnit === 'm' ? 'm' : 'ft');

/** Castings that a file's positions are compared with: those of the project, and of the register once it is here. */
function knownCastings(): LonLat[] {
  const known = new Map((register.value.value ?? []).map(({ id, lon, lat }) => [id, [lon, lat] as const]));
  for (const { id, lon, lat } of covers.value.value ?? []) known.set(id, [lon, lat]);
  return [...known.values()];
}

function maps(question: ImportQuestion, preview: ImportPreview): Map<string, Pictured> {
  const readings = preview.readings.filter((reading) => reading.question === question.id);
  const limits = project.value?.boundsLonLat ?? null;
  const castings = knownCastings();
  const own = (covers.value.value ?? []).map(({ lon, lat }): LonLat => [lon, lat]);
  const placesOf = (reading: (typeof readings)[number]) => reading.places.coordinates as unknown as LonLat[];
  const frame = frameOf(readings.map(placesOf), { limits, castings });
  if (!frame) return new Map();
  const gaps = frame.isClose ? castingGaps(readings.map(placesOf), castings, frame.origin) : [];
  return new Map(
    readings.map((reading, index) => {
      const { kind } = preview;
      const caption = landWords(frame, placesOf(reading), { gap: gaps[index] ?? null, kind });
      return [
        reading.choice!,
        {
          caption,
          picture: (
            <ReadingMap
              frame={frame}
              places={placesOf(reading)}
              castings={castings}
              streets={streets.value.value}
              limits={limits}
              own={own}
              unit={projectUnit()}
            />
          ),
        },
      ];
    }),
  );
}

/** Nearer than this a rim is on its casting: surveyors hold their rods no better. */
const onCasting = 0.05;

/** `rims land 3.3 ft from their castings`, `lands on the project`, `lands 1,204 miles northwest`. */
function landWords(
  frame: Frame,
  places: readonly LonLat[],
  { gap, kind }: { gap: number | null; kind: StagedKind },
): string {
  const flat = flatFrom(frame.origin);
  const reach = frame.isClose ? 20_000 : frame.width;
  const isNear = places.some((at) => {
    const [east, north] = flat(at);
    return Math.hypot(east - frame.centre[0], north - frame.centre[1]) < reach;
  });
  if (!isNear) return `lands ${elsewhereWords(frame, places, projectUnit())}`;
  if (!frame.isClose) return 'lands on the project';
  if (gap === null) return 'lands on the project; nothing drawn lies on castings to tell by';
  const those = kind === 'structures' ? 'castings land' : 'rims land';
  if (gap < onCasting) return `${those} on the register’s castings`;
  return `${those} ${distanceWords(gap, projectUnit())} from the register’s castings`;
}

const inchesTall = 30;

function sizes({ about, choices }: ImportQuestion, preview: ImportPreview): Map<string, Pictured> {
  const meaning = preview.columns.find(({ name }) => name === about)?.meaning ?? '';
  const what = meaning === 'structure_depth' ? 'deep' : /diameter/.test(meaning) ? 'across' : 'frame';
  // A frame 30 in high still fits; a depth of 12 m, a cover or barrel 2.4 m wide.
  const longest = { frame: inchesTall * metresPer.in, deep: 12, across: 2.4 }[what];
  return new Map(
    choices.flatMap(({ id, example }) => {
      const metres = Number(example.metres);
      if (!Number.isFinite(metres)) return [];
      const picture = <SizeChoice metres={metres} what={what as 'frame'} longest={longest} />;
      return [[id, { picture, caption: '' }]];
    }),
  );
}

function elevations({ choices }: ImportQuestion, { bounds }: ImportPreview): Map<string, Pictured> {
  if (!bounds || bounds.minElevation === null || bounds.maxElevation === null) return new Map();
  const heights = (register.value.value ?? []).flatMap(({ rimElevationM }) =>
    rimElevationM === null ? [] : [rimElevationM],
  );
  const rims: [number, number] | null =
    heights.length === 0
      ? null
      : [heights.reduce((a, b) => Math.min(a, b)), heights.reduce((a, b) => Math.max(a, b))];
  const read = choices.flatMap(({ id, text }) =>
    isUnit(id)
      ? [
          {
            id,
            text,
            file: [bounds.minElevation! * metresPer[id], bounds.maxElevation! * metresPer[id]] as const,
          },
        ]
      : [],
  );
  const all = [...read.flatMap(({ file }) => file), ...(rims ?? [])];
  const span = [Math.min(...all), Math.max(...all)] as const;
  return new Map(
    read.map(({ id, file }) => [
      id,
      {
        picture: <ElevationRange file={file} rims={rims} span={span} />,
        caption: [besideRims(file, rims), footWords(id, file)].filter(Boolean).join(', '),
      },
    ]),
  );
}

/** The two feet look the same in the picture: what one moves the highest shot is said. */
function footWords(unit: LengthUnit, [, high]: readonly [number, number]): string {
  if (unit !== 'ft' && unit !== 'us-ft') return '';
  const feet = Math.abs(high / metresPer.ft) * (metresPer['us-ft'] / metresPer.ft - 1);
  return `${feet.toFixed(feet < 0.01 ? 4 : 2)} ft from the other foot`;
}

function besideRims(file: readonly [number, number], rims: readonly [number, number] | null): string {
  if (!rims) return '';
  const off = (file[0] + file[1]) / 2 - (rims[0] + rims[1]) / 2;
  const overlaps = file[0] <= rims[1] && file[1] >= rims[0];
  if (overlaps) return 'beside the rims in the register';
  return `${distanceWords(Math.abs(off), projectUnit())} ${off > 0 ? 'above' : 'below'} the rims in the register`;
}
