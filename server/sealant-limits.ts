import { fluidOunce } from '#core/seal/sealant.ts';
import { metresPer } from '#core/units/length.ts';
import type { LimitSource, Limits } from '#shared/policy.ts';
import type { SealantChoice } from '#shared/sealant-limits.ts';

interface Inputs {
  displayUnit: 'in' | 'mm';
  agency: SealantChoice;
  project: SealantChoice;
}

/** Usual sizes of makers: common practice, no source. */
const usualBeadM = { in: metresPer.in / 2, mm: 0.012 };
const usualCartridgeMl = { in: 10.1 * fluidOunce * 1e6, mm: 310 };
/** Common practice, no source. */
const usualWasteShare = 0.05;
/** A rope that goes round in one piece: takes more rolls than any other rule, so that none is short. */
const usualMostSplices = 0;

/** Sizes of sealants, each with whose it is. The circle and the rolls differ too much for a default. */
export function sealantInForce({ displayUnit, agency, project }: Inputs) {
  const choose = <Name extends keyof SealantChoice, Usual>(name: Name, usual: Usual) => {
    const from: LimitSource = project[name] != null ? 'project' : agency[name] != null ? 'agency' : 'default';
    const value = (project[name] ?? agency[name] ?? usual) as NonNullable<SealantChoice[Name]> | Usual;
    return { value, from };
  };
  return {
    sealBeadM: choose('sealBeadM', usualBeadM[displayUnit]),
    sealCircleM: choose('sealCircleM', null),
    sealCartridgeMl: choose('sealCartridgeMl', usualCartridgeMl[displayUnit]),
    sealRollM: choose('sealRollM', null),
    sealThickRollM: choose('sealThickRollM', null),
    sealMostSplices: choose('sealMostSplices', usualMostSplices),
    sealWasteShare: choose('sealWasteShare', usualWasteShare),
  } satisfies Partial<Limits>;
}
