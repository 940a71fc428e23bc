import type { ComponentType } from 'preact';
import { BackfillForm, NoteForm } from './backfill-form.tsx';
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

const elsewhere = (words: string) => () => <p>{words}</p>;

export const forms: Record<StepName, ComponentType<FormProps>> = {
  find: FindForm,
  plate: PlateForm,
  lift: LiftForm,
  mortar: MortarForm,
  spigot: SpigotForm,
  dry: DryForm,
  seal: SealForm,
  rings: elsewhere('Under Stack: tap each ring as it goes in, from the bottom, then record them.'),
  frame: FrameForm,
  vacuum: elsewhere('Under Vacuum.'),
  backfill: BackfillForm,
  collar: CollarForm,
  rim: RimForm,
  edge: EdgeForm,
  note: NoteForm,
};
