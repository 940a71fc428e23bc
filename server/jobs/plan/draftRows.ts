import { RowWriter } from '../../store/rowWriter.ts';
import type { Verdict } from './region.ts';

/** The rows of a draft in the form that the database takes them in. */
export class DraftRows {
  readonly #outcomes = new RowWriter();
  readonly #verdicts = new RowWriter();
  readonly #key: { agencyId: string; projectId: string; revision: number };
  /** Covers looked at, and those planned anew. */
  covers = 0;
  planned = 0;

  constructor(key: { agencyId: string; projectId: string; revision: number }) {
    this.#key = key;
  }

  add({ structureId, verdict, inputsHash, outcomeHash, outcome, json }: Verdict): void {
    this.covers++;
    if (verdict === 'unasked' || !outcome) return;
    this.planned++;
    const { agencyId, projectId, revision } = this.#key;
    const verdicts = this.#verdicts;
    verdicts.row(10);
    verdicts.text(agencyId);
    verdicts.text(projectId);
    verdicts.text(structureId);
    verdicts.text(outcome.status);
    verdicts.double(outcome.netBuildup);
    verdicts.double(outcome.residual?.worst ?? null);
    verdicts.texts(outcome.source?.surfaces ?? null);
    verdicts.big(inputsHash);
    verdicts.big(outcomeHash);
    verdicts.text(verdict);
    if (verdict !== 'changed') return;
    const outcomes = this.#outcomes;
    outcomes.row(6);
    outcomes.text(agencyId);
    outcomes.text(projectId);
    outcomes.text(structureId);
    outcomes.integer(revision);
    outcomes.text(outcome.status);
    outcomes.text(json);
  }

  end(): { covers: number; planned: number; outcomes: Buffer; verdicts: Buffer } {
    return {
      covers: this.covers,
      planned: this.planned,
      outcomes: this.#outcomes.end(),
      verdicts: this.#verdicts.end(),
    };
  }
}
