import { metresPer } from '../../units/length.ts';
import type { Choice, Question } from '../understanding.ts';
import type { LayerPass } from './layerPass.ts';
import { type MappedColumn, structureMeanings } from './meanings.ts';

export function idQuestions(columns: readonly MappedColumn[]): Question[] {
  const id = columns.find(({ meaning }) => meaning === 'id');
  if (id && id.from !== 'guess') return [];
  return [
    {
      code: 'idColumn',
      about: id?.name ?? null,
      text: 'Which column names the structures? Ids stay text, as they are written.',
      choices: columns
        .filter(({ meaning }) => meaning === null || structureMeanings[meaning] === 'text')
        .slice(0, 50)
        .map(({ name }) => ({ id: name, text: name })),
      likely: id?.name ?? null,
    },
  ];
}

export function whichElevation({ name }: MappedColumn): Question {
  const choices: Choice[] = [
    { id: 'rim_elevation', text: 'of the rim' },
    { id: 'ground_elevation', text: 'of the ground or the pavement' },
    { id: 'invert_elevation', text: 'of the invert or the bottom' },
    { id: 'seat_elevation', text: 'of the seat' },
  ];
  return {
    code: 'whichElevation',
    about: name,
    text: `Of what is "${name}" the elevation?`,
    choices,
    likely: null,
  };
}

/** A size without a unit: 0.65 can be feet (7.8 in) as well as metres, 8 inches as well as tenths. */
export function unitQuestions(columns: readonly MappedColumn[], pass: LayerPass): Question[] {
  return columns
    .filter(
      ({ meaning, unit }) =>
        meaning !== null && structureMeanings[meaning] === 'size' && unit === null && pass.has(meaning),
    )
    .map(({ name, meaning }) => {
      const value = pass.first(meaning!)!;
      return {
        code: 'columnUnit',
        about: name,
        text: `"${name}" has no unit. Its first value is ${value}: in which unit?`,
        choices: (['in', 'ft', 'm', 'cm', 'mm'] as const).map((unit) => {
          const inches = (value * metresPer[unit]) / metresPer.in;
          const metres = value * metresPer[unit];
          return {
            id: unit,
            text: `${value} ${unit} = ${Number(inches.toFixed(2))} in = ${Number((metres * 1000).toFixed(1))} mm`,
            example: { inches, metres },
          };
        }),
        likely: null,
      };
    });
}
