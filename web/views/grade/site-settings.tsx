import { liftingWords, liftLimitText } from '#core/stack/lifting.ts';
import { kilogramsPerPound } from '#core/units/mass.ts';
import type { Project } from '#shared/project.ts';
import { readMass, readZone } from '../../grade/site.ts';
import { sourceWords } from './limit-words.ts';
import { Setting } from './setting.tsx';

/** What paper and phone tell people by: whose clock, and what one person alone does not lift. */
export function SiteSettings({ project }: { project: Project }) {
  const { timeZone, twoPersonsKg } = project.limits;
  const unit = project.displayUnit === 'in' ? 'lb' : 'kg';
  const mass = twoPersonsKg.value / (unit === 'lb' ? kilogramsPerPound : 1);
  return (
    <>
      <Setting
        project={project}
        of={{
          name: 'timeZone',
          word: 'Times on paper',
          called: 'the time zone of papers',
          field: 'Time zone',
          shown: `those of ${timeZone.value}, ${sourceWords[timeZone.from]}`,
          from: timeZone.from,
          typed: timeZone.value,
          read: readZone,
        }}
      />
      <Setting
        project={project}
        of={{
          name: 'twoPersonsKg',
          word: 'Heavier rings',
          called: 'the mass that one person lifts',
          field: `Over, ${unit}`,
          shown: `over ${liftLimitText(twoPersonsKg.value)} ${liftingWords}, ${sourceWords[twoPersonsKg.from]}`,
          from: twoPersonsKg.from,
          typed: String(Number(mass.toFixed(1))),
          read: (text) => readMass(text, project.displayUnit),
        }}
      />
    </>
  );
}
