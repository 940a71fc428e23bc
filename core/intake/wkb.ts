import { position } from './thirdOrdinate.ts';
import type { RawGeometry, RawPosition } from './types.ts';

/** The parts of a geometry; none where it is empty. */
export interface WkbGeometry {
  parts: RawGeometry[];
  fault: string | null;
}

class WkbFault extends Error {}

/** Collections inside one another. */
const mostDepth = 16;
/** Bytes that the smallest geometry takes: byte order, type and a count. */
const leastBytes = 9;

/** Decodes well-known binary, ISO 13249-3 (types + 1000 for Z, 2000 M, 3000 ZM) or with the flag bits of PostGIS. */
export function readWkb(bytes: Uint8Array): WkbGeometry {
  try {
    return { parts: new WkbReader(bytes).geometry(0), fault: null };
  } catch (error) {
    if (error instanceof WkbFault) return { parts: [], fault: error.message };
    throw error;
  }
}

class WkbReader {
  readonly #view: DataView;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  }

  geometry(depth: number): RawGeometry[] {
    if (depth > mostDepth) throw new WkbFault('collections lie too deep inside one another');
    this.#need(5);
    const little = this.#view.getUint8(this.#at) === 1;
    const code = this.#view.getUint32(this.#at + 1, little);
    this.#at += 5;
    if ((code & 0x20000000) !== 0) this.#at += 4;
    const { base, hasZ, ordinates } = typeOf(code);
    switch (base) {
      case 1: {
        const at = this.#positions(1, little, ordinates, hasZ);
        return at.length === 0 ? [] : [{ type: 'point', position: at[0] }];
      }
      case 2: {
        const positions = this.#counted(little, ordinates, hasZ);
        if (positions.length === 1) throw new WkbFault('a line needs two points');
        return positions.length === 0 ? [] : [{ type: 'line', positions }];
      }
      case 3: {
        const count = this.#count(little, 4);
        const rings = Array.from({ length: count }, () => this.#counted(little, ordinates, hasZ));
        if (rings.some((ring) => ring.length < 4)) throw new WkbFault('a ring needs four points');
        return count === 0 ? [] : [{ type: 'polygon', rings }];
      }
      case 4:
      case 5:
      case 6:
      case 7: {
        const count = this.#count(little, leastBytes);
        const parts: RawGeometry[] = [];
        for (let i = 0; i < count; i++) for (const part of this.geometry(depth + 1)) parts.push(part);
        return parts;
      }
      default:
        throw new WkbFault(`geometry type ${code} (curves or surfaces) is not read`);
    }
  }

  #need(bytes: number): void {
    if (this.#at + bytes > this.#view.byteLength) throw new WkbFault('it ends too soon');
  }

  /** A number of things that take at least so many bytes each, which must still be there. */
  #count(little: boolean, bytesEach: number): number {
    this.#need(4);
    const count = this.#view.getUint32(this.#at, little);
    this.#at += 4;
    if (count * bytesEach > this.#view.byteLength - this.#at)
      throw new WkbFault('it claims more than it holds');
    return count;
  }

  #counted(little: boolean, ordinates: number, hasZ: boolean): RawPosition[] {
    return this.#positions(this.#count(little, ordinates * 8), little, ordinates, hasZ);
  }

  /** A point of NaN is the empty point; elsewhere such numbers are a fault. */
  #positions(count: number, little: boolean, ordinates: number, hasZ: boolean): RawPosition[] {
    this.#need(count * ordinates * 8);
    const positions: RawPosition[] = [];
    for (let i = 0; i < count; i++, this.#at += ordinates * 8) {
      const [x, y] = [this.#view.getFloat64(this.#at, little), this.#view.getFloat64(this.#at + 8, little)];
      const read = position(x, y, hasZ ? this.#view.getFloat64(this.#at + 16, little) : null);
      if (read !== null) positions.push(read);
      else if (!(count === 1 && Number.isNaN(x) && Number.isNaN(y)))
        throw new WkbFault('its coordinates are no numbers');
    }
    return positions;
  }
}

function typeOf(code: number): { base: number; hasZ: boolean; ordinates: number } {
  const plain = code & 0x0fffffff;
  const thousands = Math.floor(plain / 1000);
  const hasZ = (code & 0x80000000) !== 0 || thousands === 1 || thousands === 3;
  const hasM = (code & 0x40000000) !== 0 || thousands === 2 || thousands === 3;
  if (thousands > 3) return { base: -1, hasZ, ordinates: 2 };
  return { base: plain % 1000, hasZ, ordinates: 2 + Number(hasZ) + Number(hasM) };
}
