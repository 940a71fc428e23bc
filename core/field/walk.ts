import type { KeptRecord, MadeRecord, RecordKind } from './facts.ts';
import type { AnyRecord } from './order.ts';
import { type OpenPlate, openPlate, opens } from './plates.ts';

/** What the field makes of a cover. `planned` comes of its being sent to a crew, all others of records. */
export type FieldStatus = 'planned' | 'plated' | 'stacked' | 'set' | 'offGrade' | 'accepted';

/** Something that a reader of the records should know; worded in words.ts. */
export interface FieldWarning {
  code:
    | 'outOfOrder'
    | 'platedTwice'
    | 'reopenedWithoutPlate'
    | 'reopenedOther'
    | 'reopenedUnseen'
    | 'changedAfterAccepted'
    | 'testOvertaken'
    | 'namesNothing'
    | 'noSuchMoment';
  record: AnyRecord;
  values: Record<string, string>;
}

export type RimJudge = (facts: MadeRecord<'rimChecked'>['facts']) => boolean;

/**
 * Checks of the cover as it stands: those before the last work on it are about another rim. A vacuum test counts on
 * while nothing under its head was worked on: one on the seat always, one on the top ring when the frame is set anew.
 */
export type Checks = {
  [Kind in 'rimChecked' | 'straightedge' | 'bevelled' | 'vacuum' | 'accepted']:
    | (MadeRecord<Kind> | KeptRecord<Kind>)
    | null;
};

export interface Walked {
  /** null: nothing was done yet, or it has begun anew. */
  status: Exclude<FieldStatus, 'planned'> | null;
  plates: OpenPlate[];
  checks: Checks;
  warnings: FieldWarning[];
}

/** Steps in the order in which the work goes; those of one rank come in either order. */
const ranks: Partial<Record<RecordKind, number>> = {
  found: 0,
  stackChosen: 1,
  spigotTrimmed: 2,
  mortarBed: 2,
  dryStacked: 3,
  ringsUsed: 4,
  sealed: 4,
  frameSet: 5,
  backfilled: 6,
  rimChecked: 7,
  collarPlaced: 7,
  accepted: 8,
};

/** Work under the frame. */
const stacks: ReadonlySet<RecordKind> = new Set(['dryStacked', 'ringsUsed', 'sealed']);

/** Work on a rim that stands: it neither makes a rim right that was found off grade, nor one that was accepted another. */
const fills: ReadonlySet<RecordKind> = new Set(['backfilled', 'collarPlaced']);

/**
 * Goes through the standing records of one cover in order; later ones win. Work on plate, stack or frame begins anew:
 * what was checked or accepted before was another rim. Filling round a rim that is off grade does not bring it to grade.
 */
export function walk(standing: readonly AnyRecord[], isWithin: RimJudge): Walked {
  const walker = new Walker(isWithin);
  for (const record of standing) walker.take(record);
  return walker.walked;
}

class Walker {
  readonly walked: Walked = {
    status: null,
    plates: [],
    checks: { rimChecked: null, straightedge: null, bevelled: null, vacuum: null, accepted: null },
    warnings: [],
  };
  private furthest: { rank: number; kind: RecordKind } = { rank: 0, kind: 'found' };
  private readonly isWithin: RimJudge;

  constructor(isWithin: RimJudge) {
    this.isWithin = isWithin;
  }

  take(record: AnyRecord): void {
    const { walked } = this;
    const { kind } = record;
    if (kind === 'plated') this.plate(record);
    else if (kind === 'reopened') this.reopen(record);
    else if (kind === 'stackChosen') this.beginAnew(record, null);
    else if (stacks.has(kind)) this.work(record, 'stacked');
    else if (kind === 'frameSet') this.work(record, 'set');
    else if (fills.has(kind)) this.fill();
    else if (kind === 'rimChecked') this.check(record);
    else if (kind === 'straightedge') walked.checks.straightedge = record;
    else if (kind === 'bevelled') walked.checks.bevelled = record;
    else if (kind === 'vacuum') walked.checks.vacuum = record;
    else if (kind === 'accepted') this.accept(record);
    this.keepOrder(record);
  }

  private plate(record: AnyRecord & MadeRecord<'plated'>): void {
    const { plates } = this.walked;
    const [before] = plates;
    if (before) this.warn('platedTwice', record, { plate: before.plate });
    this.beginAnew(record, null);
    plates.push(openPlate(record));
  }

  private reopen(record: AnyRecord & MadeRecord<'reopened'>): void {
    const { plates } = this.walked;
    if (plates.length === 0) this.warn('reopenedWithoutPlate', record);
    const left = plates.filter((plate) => !opens(plate, record));
    const gone = plates.filter((plate) => !left.includes(plate));
    const named = record.facts.plate.trim();
    const isOther = ({ plate }: OpenPlate) => plate.trim().toLowerCase() !== named.toLowerCase();
    if (named !== '' && gone.length > 0 && gone.every(isOther))
      this.warn('reopenedOther', record, { plate: gone[0].plate, named });
    for (const { plate } of left) this.warn('reopenedUnseen', record, { plate });
    this.walked.plates = left;
    this.furthest = { rank: 0, kind: 'found' };
  }

  /** Under a rim that was checked already it begins anew. */
  private work(record: AnyRecord, status: 'stacked' | 'set'): void {
    const { walked } = this;
    const { rimChecked, straightedge, bevelled, accepted } = walked.checks;
    if (rimChecked ?? straightedge ?? bevelled ?? accepted) this.beginAnew(record, status);
    else walked.status = status;
    if (status === 'set' || record.kind === 'dryStacked') this.dropTest(record);
  }

  private fill(): void {
    const { walked } = this;
    if (walked.status !== 'offGrade' && walked.status !== 'accepted') walked.status = 'set';
  }

  private check(record: AnyRecord & MadeRecord<'rimChecked'>): void {
    const { walked } = this;
    this.dropAcceptance(record);
    walked.checks.rimChecked = record;
    walked.status = this.isWithin(record.facts) ? 'set' : 'offGrade';
  }

  private accept(record: AnyRecord & MadeRecord<'accepted'>): void {
    const { walked } = this;
    walked.checks.accepted = record;
    walked.status = record.facts.accepted ? 'accepted' : 'offGrade';
  }

  private beginAnew(record: AnyRecord, status: Walked['status']): void {
    const { walked } = this;
    this.dropAcceptance(record);
    this.dropTest(record);
    const { vacuum } = walked.checks;
    walked.checks = { rimChecked: null, straightedge: null, bevelled: null, vacuum, accepted: null };
    walked.status = status;
    this.furthest = { rank: 0, kind: 'found' };
  }

  private dropAcceptance(record: AnyRecord): void {
    const { checks } = this.walked;
    if (checks.accepted?.facts.accepted)
      this.warn('changedAfterAccepted', record, { by: checks.accepted.by });
    checks.accepted = null;
  }

  private dropTest(record: AnyRecord): void {
    const { checks } = this.walked;
    const head = checks.vacuum?.facts.headAt;
    if (head === undefined || head === 'seat' || (head === 'topRing' && record.kind === 'frameSet')) return;
    this.warn('testOvertaken', record);
    checks.vacuum = null;
  }

  private keepOrder(record: AnyRecord): void {
    const rank = ranks[record.kind];
    if (rank === undefined) return;
    const { furthest } = this;
    if (rank < furthest.rank) this.warn('outOfOrder', record, { after: furthest.kind });
    else this.furthest = { rank, kind: record.kind };
    // What follows a rim off grade is done again and in order.
    if (this.walked.status === 'offGrade') this.furthest = { rank: 0, kind: 'found' };
  }

  private warn(code: FieldWarning['code'], record: AnyRecord, values: Record<string, string> = {}): void {
    this.walked.warnings.push({ code, record, values });
  }
}
