import type { Kysely } from 'kysely';
import { type RingRule, usualSpareAtLeast, usualSpareShare } from '#core/supply/takeoff.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import type { RingSupplies, RingSuppliesPatch, RingSupply, SupplySource } from '#shared/ring-supply.ts';
import { badField } from '../http-problem.ts';
import {
  changeOwnSupplies,
  findOwnSupplies,
  type OwnFigures,
  type OwnSupplies,
  type SupplyOwner,
} from '../store/supply/ring-supplies.ts';
import type { Tables } from '../store/tables.ts';

export interface SuppliesInForce {
  supplies: RingSupplies;
  /** Of the owner that was asked for, as it was read: a change names it. */
  own: OwnSupplies;
}

/** Figures of a catalogue's rings: the owner's own where he said one, a project's before its agency's. */
export async function findSupplies(
  db: Kysely<Tables>,
  { agencyId, projectId }: Pick<SupplyOwner, 'agencyId' | 'projectId'>,
  catalogue: RingCatalogue,
): Promise<SuppliesInForce> {
  const owner = { agencyId, ringCatalogueId: catalogue.id };
  const agency = await findOwnSupplies(db, { ...owner, projectId: null });
  const own = projectId === null ? agency : await findOwnSupplies(db, { ...owner, projectId });
  const said: Said[] = [{ from: 'agency', own: agency }];
  if (projectId !== null) said.unshift({ from: 'project', own });
  return { supplies: inForce(catalogue, said), own };
}

/** Who said something, the one whose word goes first. */
interface Said {
  from: SupplySource;
  own: OwnSupplies;
}

function inForce(catalogue: RingCatalogue, said: readonly Said[]): RingSupplies {
  const usual = { value: usualSpareShare, from: 'default' as const };
  const wholeShare = first(said, ({ own }) => own.spareShare) ?? usual;
  const rings = catalogue.rings.map(({ id, thinM, thickM }): RingSupply => {
    const of = <Name extends keyof OwnFigures>(name: Name) =>
      first(said, ({ own }) => own.rings.get(id)?.[name] ?? null);
    const share = first(said, ({ own }) => own.rings.get(id)?.spareShare ?? own.spareShare);
    const least = usualSpareAtLeast({ thin: thinM, thick: thickM });
    return {
      ring: id,
      pack: of('pack') ?? { value: 1, from: 'default' },
      spareShare: share ?? usual,
      spareAtLeast: of('spareAtLeast') ?? { value: least, from: 'default' },
      onHand: of('onHand') ?? { value: null, from: 'default' },
    };
  });
  return { ringCatalogueId: catalogue.id, spareShare: wholeShare, rings };
}

function first(said: readonly Said[], get: (one: Said) => number | null) {
  for (const one of said) {
    const value = get(one);
    if (value !== null) return { value, from: one.from };
  }
  return null;
}

/** Throws a problem for a ring that the catalogue does not have or that comes twice; false where somebody was quicker. */
export async function changeSupplies(
  db: Kysely<Tables>,
  owner: Pick<SupplyOwner, 'agencyId' | 'projectId'>,
  catalogue: RingCatalogue,
  { before, patch }: { before: OwnSupplies; patch: RingSuppliesPatch },
): Promise<boolean> {
  const known = new Set(catalogue.rings.map(({ id }) => id));
  for (const [at, { ring }] of (patch.rings ?? []).entries()) {
    if (!known.delete(ring)) {
      const isTwice = catalogue.rings.some(({ id }) => id === ring);
      const rule = isTwice ? 'comes twice' : `is no ring of the catalogue "${catalogue.name}"`;
      throw badField(`/rings/${at}/ring`, rule, ring);
    }
  }
  return changeOwnSupplies(db, { ...owner, ringCatalogueId: catalogue.id }, before, patch);
}

export const rulesOf = ({ rings }: RingSupplies): Map<string, RingRule> =>
  new Map(
    rings.map(({ ring, pack, spareShare, spareAtLeast, onHand }) => [
      ring,
      {
        pack: pack.value,
        spareShare: spareShare.value,
        spareAtLeast: spareAtLeast.value,
        onHand: onHand.value,
      },
    ]),
  );
