import { fixed, formatSmall, type SmallLengthStyle } from '../units/format.ts';
import type { OverlayReason, OverlayVerdict } from './overlay.ts';
import { leastEpochs, type Settlement } from './settlement.ts';

type Say = (small: (key: string) => string) => string;

const sentences: Record<OverlayReason, Say> = {
  fits: (t) => `The chimney comes to ${t('after')} of ${t('limit')}; ${t('left')} is left.`,
  chimneyUnsound: () => 'The seat or chimney is broken, cracked or leaking: it must be rebuilt first.',
  chimneyLimit: (t) =>
    `The chimney would be ${t('after')} high, ${t('over')} past the limit of ${t('limit')}: rebuild.`,
  millStrikes: (t) =>
    `The mill strikes the rim: it has to go down ${t('drop')}, and ${t('buildup')} of chimney is there, ${t('short')} short.`,
  notLocated: () => 'It was not found, or its identity is doubtful.',
  frameUnsound: () => 'The frame is cracked, rocking or of the wrong class: another one changes the height.',
  telescoping: () => 'It telescopes; how far is not in the register.',
  noSeat: () => 'No seat was measured.',
  noRim: () => 'No rim was measured.',
  belowSeat: (t) =>
    `Rim, seat and frame contradict each other: the rim stands ${t('by')} lower than the frame on its bare seat.`,
};

/** The reason of an answer as a sentence. */
export function sayOverlay(
  { reason, values }: Pick<OverlayVerdict, 'reason' | 'values'>,
  style: SmallLengthStyle,
): string {
  return sentences[reason]((key) => formatSmall(values[key], style));
}

/** The trend as a sentence; a rate within two standard errors of 0 is called none. */
export function saySettlement({ epochs, trend, why }: Settlement, style: SmallLengthStyle): string {
  const levelled = `${epochs} ${epochs === 1 ? 'levelling' : 'levellings'} of rim and pavement`;
  if (why === 'fewEpochs')
    return `No trend: ${levelled} since the rim was last moved, ${leastEpochs} are needed.`;
  if (!trend) return `No trend: ${levelled}, all on one day.`;
  const rate = (metres: number) =>
    style === 'millimetres' ? `${fixed(metres * 1000, 1)} mm` : `${fixed(metres / 0.0254, 3)} in`;
  const figures = `${rate(Math.abs(trend.rate))} ± ${rate(trend.sigma)} a year from ${levelled}`;
  if (Math.abs(trend.rate) <= 2 * trend.sigma) return `No movement beyond its error: ${figures}.`;
  return `The rim ${trend.rate < 0 ? 'sinks' : 'rises'} against the pavement: ${figures}.`;
}
