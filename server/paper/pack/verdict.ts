import type { AnyKept } from '#core/field/facts.ts';
import { latest } from '../facts.ts';
import { saidBy } from './rows.ts';
import type { PackCover } from './types.ts';

/** What the measurements say against the agency's policy, in sentences. */
export interface Judgement {
  meets: boolean;
  reasons: string[];
}

/** Kinds of record after which an acceptance has to be said anew. */
const changes: readonly AnyKept['kind'][] = [
  'plated',
  'reopened',
  'stackChosen',
  'ringsUsed',
  'frameSet',
  'rimChecked',
  'straightedge',
  'bevelled',
  'vacuum',
];

/**
 * Accepted is only what a named person accepted after the last change to it; measurements alone accept nothing. What was
 * accepted although the measurements do not meet the policy says both. `held`: in the order of `seq`.
 */
export function verdictOf(held: readonly AnyKept[], { meets, reasons }: Judgement): PackCover['verdict'] {
  const word = latest(held, 'accepted');
  const changed = held.findLast(({ kind }) => changes.includes(kind));
  const isChecked = latest(held, 'rimChecked') !== null;
  const state = isChecked ? ('notAccepted' as const) : ('notChecked' as const);
  if (word === null) {
    return { state, reasons: [...reasons, 'Nobody has accepted it yet.'], said: null };
  }
  const said = saidBy(word);
  const why = word.facts.reason ? [`${word.by}: ${word.facts.reason}`] : [];
  if (!word.facts.accepted) return { state: 'notAccepted', reasons: [...why, ...reasons], said };
  if (changed && changed.seq > word.seq)
    return { state, reasons: ['Something was recorded after it was accepted.', ...reasons], said };
  if (meets) return { state: 'accepted', reasons, said };
  return { state: 'accepted', reasons: [`Accepted by ${word.by} although:`, ...reasons, ...why], said };
}
