import type { ComponentType } from 'preact';
import type { TabName } from '../types.ts';
import { BackfillForm, NoteForm } from './backfill-form.tsx';
import { BevelForm } from './bevel-form.tsx';
import { CollarForm } from './collar-form.tsx';
import { DryForm } from './dry-form.tsx';
import { EdgeForm } from './edge-form.tsx';
import { FindForm } from './find-form.tsx';
import type { FormProps } from './form.ts';
import { FrameForm } from './frame-form.tsx';
import { LiftForm } from './lift-form.tsx';
import type { StepName } from './list.ts';
import { MortarForm, SpigotForm } from './mend-forms.tsx';
import { PlateForm } from './plate-form.tsx';
import { RimForm } from './rim-form.tsx';
import { SealForm } from './seal-form.tsx';
import { SeatForm } from './seat-form.tsx';

/** Recorded on another tab, where it is drawn. */
const elsewhere =
  (words: string, tab: TabName, word: string) =>
  ({ hole }: FormProps) => (
    <>
      <p>{words}</p>
      <button type="button" class="big main" onClick={() => hole.goTo(tab)}>
        {word}
      </button>
    </>
  );

export const forms: Record<StepName, ComponentType<FormProps>> = {
  find: FindForm,
  plate: PlateForm,
  lift: LiftForm,
  seat: SeatForm,
  mortar: MortarForm,
  spigot: SpigotForm,
  dry: DryForm,
  seal: SealForm,
  rings: elsewhere(
    'Tap each ring as it goes in, from the bottom, then record them.',
    'stack',
    'Go to the stack',
  ),
  frame: FrameForm,
  vacuum: elsewhere('The clock knows the time that is asked.', 'vacuum', 'Go to the vacuum test'),
  backfill: BackfillForm,
  collar: CollarForm,
  rim: RimForm,
  edge: EdgeForm,
  bevel: BevelForm,
  note: NoteForm,
};
