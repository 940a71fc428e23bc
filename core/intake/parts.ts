import type { Problem } from '../problem.ts';
import type { Layer, RawGeometry } from './types.ts';

/** Kinds of geometry met in a layer, and how many records had several parts. */
export class GeometryKinds {
  readonly #kinds = new Set<RawGeometry['type']>();
  #severalParts = 0;

  look(parts: readonly RawGeometry[]): void {
    for (const { type } of parts) this.#kinds.add(type);
    if (parts.length > 1) this.#severalParts++;
  }

  kind(): Layer['geometry'] {
    const [first] = this.#kinds;
    return this.#kinds.size > 1 ? 'mixed' : (first ?? 'none');
  }

  /** A note on records that were split; null where there were none. */
  severalParts(layer: string): Problem | null {
    if (this.#severalParts === 0) return null;
    const [records, have] = this.#severalParts === 1 ? ['record', 'has'] : ['records', 'have'];
    return {
      code: 'severalParts',
      row: null,
      column: null,
      value: String(this.#severalParts),
      message: `${this.#severalParts} ${records} of ${layer} ${have} several parts; each part is read as a record of its own with the same values`,
    };
  }
}
