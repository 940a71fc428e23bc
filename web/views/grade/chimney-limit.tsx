import type { Project } from '#shared/project.ts';
import { readSize, sizeText } from '../../grade/lengths.ts';
import { nominal, unitsOf } from '../../units.ts';
import { sourceWords } from './limit-words.ts';
import { Setting } from './setting.tsx';

/** Limit of the chimney's height in force and whose it is, to be set for the project or for all of the agency's. */
export function ChimneyLimit({ project }: { project: Project }) {
  const { value, from } = project.limits.maxChimneyM;
  const units = unitsOf(project);
  const read = (text: string) => {
    const size = readSize(text, units);
    if ('fault' in size) return size;
    if (size.value <= 0) return { fault: 'A chimney limit is more than nothing.' };
    return size.value > 5 ? { fault: `A chimney limit is at most ${nominal(5, units)}.` } : size;
  };
  return (
    <Setting
      project={project}
      look="chimney-limit"
      of={{
        name: 'maxChimneyM',
        word: 'Chimney at most',
        called: 'the chimney limit',
        field: `Limit, ${units.smallUnit}`,
        shown:
          value === null ? 'not said: no ring catalogue' : `${nominal(value, units)}, ${sourceWords[from]}`,
        from,
        typed: value === null ? '' : sizeText(value, units),
        read,
      }}
    />
  );
}
