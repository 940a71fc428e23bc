import { judgeOverlay, type Overlay, type OverlayCandidate } from '#core/register/overlay.ts';
import { sayOverlay } from '#core/register/overlayWords.ts';
import type { SmallLengthStyle } from '#core/units/format.ts';
import type { ChimneyLimit, OverlayAnswer, OverlayPage, OverlayRow } from '#shared/outlook.ts';
import type { Database } from './store/database.ts';
import {
  eachOutlookCandidate,
  listOutlookStructures,
  type OutlookScope,
  type OutlookStructure,
} from './store/overlay-outlook.ts';

/** The question: which of these structures can take this overlay, in the units that people of the project read. */
export interface OutlookQuestion {
  scope: OutlookScope;
  overlay: Overlay;
  limit: ChimneyLimit;
  style: SmallLengthStyle;
  /** Only rows with this answer. */
  answer: OverlayAnswer['answer'] | null;
}

export function answerFor(
  candidate: OverlayCandidate,
  { overlay, limit, style }: Pick<OutlookQuestion, 'overlay' | 'limit' | 'style'>,
): OverlayAnswer {
  const verdict = judgeOverlay(candidate, overlay, limit.valueM);
  return {
    answer: verdict.answer,
    reason: verdict.reason,
    values: verdict.values,
    text: sayOverlay(verdict, style),
    buildupM: verdict.buildup,
    remainingM: verdict.remaining,
    afterM: verdict.after,
    overlaysLeft: verdict.overlaysLeft,
  };
}

/** Numbers of answers and of reasons over all that is asked about. */
export async function countAnswers(
  database: Database,
  { scope, overlay, limit }: OutlookQuestion,
): Promise<Pick<OverlayPage, 'total' | 'counts' | 'reasons'>> {
  const counts = { yes: 0, no: 0, unknown: 0 };
  const reasons: Record<string, number> = {};
  await eachOutlookCandidate(database, scope, (candidate) => {
    const { answer, reason } = judgeOverlay(candidate, overlay, limit.valueM);
    counts[answer]++;
    reasons[reason] = (reasons[reason] ?? 0) + 1;
  });
  return { total: counts.yes + counts.no + counts.unknown, counts, reasons };
}

/** Rows read at once where some are passed over. */
const batch = 5000;

/** Rows after an id, in the order of their ids; `last` is the id to go on from, null at the end. */
export async function listAnswers(
  { kysely }: Database,
  question: OutlookQuestion,
  { after, limit }: { after: string | null; limit: number },
): Promise<{ items: OverlayRow[]; last: string | null }> {
  const items: OverlayRow[] = [];
  const size = question.answer === null ? limit + 1 : Math.max(batch, limit + 1);
  for (let from = after; ; ) {
    const found = await listOutlookStructures(kysely, question.scope, { after: from, limit: size });
    for (const structure of found) {
      const answered = answerFor(structure, question);
      if (question.answer !== null && answered.answer !== question.answer) continue;
      if (items.length === limit) return { items, last: items[limit - 1].id };
      items.push(toRow(structure, answered));
    }
    if (found.length < size) return { items, last: null };
    from = found[found.length - 1].id;
  }
}

function toRow({ id, kind, owner, street, lon, lat }: OutlookStructure, answered: OverlayAnswer): OverlayRow {
  return { id, kind, owner, street, lon, lat, ...answered };
}
