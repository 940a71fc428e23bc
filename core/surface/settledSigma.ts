import type { Survey } from './survey.ts';

/** Sigma of a shot that brings none of its own, as it was settled over a whole survey. Metres. */
export interface SettledSigma {
  shotSigma: number;
  sigmaFrom: Survey['sigmaFrom'];
}

/** What was settled for a survey, to be used for a part of it that is laid out by itself. */
export const settledOf = ({ shotSigma, sigmaFrom }: Survey): SettledSigma => ({ shotSigma, sigmaFrom });

/** A part of a survey with the sigma of the whole; a shot's own record counts where the survey's sigma was not given. */
export function withSettledSigma(part: Survey, { shotSigma, sigmaFrom }: SettledSigma): Survey {
  const ownRecord = sigmaFrom !== 'given' && part.allowance;
  const { count, recorded } = part.shots;
  const sigma = new Float64Array(count).fill(shotSigma);
  if (ownRecord) {
    for (let i = 0; i < count; i++) if (!Number.isNaN(recorded[i])) sigma[i] = recorded[i];
  }
  return { ...part, sigma, shotSigma, sigmaFrom };
}
