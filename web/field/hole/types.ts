import type { AnyKept, AnyMade, Facts, RecordKind } from '#core/field/facts.ts';
import type { CoverCard } from '#shared/cover.ts';
import type { Project } from '#shared/project.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';
import type { Units } from '../../units.ts';
import type { AcceptedBy } from './limits.ts';

/** A record as this phone has it: its own, sent or not, or one that came from the server. */
export type CoverRecord = AnyMade | AnyKept;

export type Recorder = <Kind extends RecordKind>(kind: Kind, facts: Facts[Kind]) => unknown;

/** Where pictures are kept until they are sent. */
export interface Pictures {
  /** Keeps the picture on the phone, to be sent when there is a signal; resolves with its SHA-256, hexadecimal. */
  keep: (picture: Blob) => Promise<string>;
  /** null where the phone does not have it. */
  find: (sha256: string) => Promise<Blob | null>;
  isSent: (sha256: string) => boolean;
}

export interface HoleProps {
  card: CoverCard;
  project: Pick<Project, 'id' | 'displayUnit' | 'elevationUnit'>;
  /** Records of this cover in the order in which they came about, withdrawn ones with them. */
  records: readonly CoverRecord[];
  vacuumTable: VacuumTable | null;
  record: Recorder;
  pictures: Pictures;
  isSent: (recordId: string) => boolean;
}

/** The thumb tabs. */
export type TabName = 'stack' | 'tapes' | 'steps' | 'vacuum' | 'photo';

/** What every part of the hole's screens works with. */
export interface Hole extends HoleProps {
  units: Units;
  accepted: AcceptedBy;
  goTo: (tab: TabName) => void;
}
