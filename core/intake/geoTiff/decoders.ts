import { addDecoder, BaseDecoder } from 'geotiff';
import { inflate, unpackBits, unpackLzw } from './unpack.ts';

type Unpack = (packed: Uint8Array, most: number) => Uint8Array | Promise<Uint8Array>;

interface BlockShape {
  tileWidth: number;
  tileHeight: number;
  bitsPerSample: number | ArrayLike<number>;
  planarConfiguration: number;
}

/** Bytes that a whole block unpacks to. */
function blockBytes({ tileWidth, tileHeight, bitsPerSample, planarConfiguration }: BlockShape): number {
  const bits = typeof bitsPerSample === 'number' ? [bitsPerSample] : Array.from(bitsPerSample);
  const used = planarConfiguration === 2 ? bits.slice(0, 1) : bits;
  return tileWidth * tileHeight * (used.reduce((sum, b) => sum + b, 0) / 8);
}

function boundedDecoder(unpack: Unpack): typeof BaseDecoder {
  return class extends BaseDecoder {
    override async decodeBlock(buffer: ArrayBufferLike): Promise<ArrayBufferLike> {
      const most = blockBytes(this.parameters);
      const bytes = await unpack(new Uint8Array(buffer), most);
      if (bytes.length === 0) throw new RangeError('a block is empty');
      return bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length);
    }
  };
}

/** The library's own decoders make as many bytes as the data says; these stop at the size of a block. */
export function useBoundedDecoders(): void {
  addDecoder(5, async () => boundedDecoder(unpackLzw), undefined, false);
  addDecoder([8, 32946], async () => boundedDecoder(inflate), undefined, false);
  addDecoder(32773, async () => boundedDecoder(unpackBits), undefined, false);
}
