import { type StatusCode, statusOf } from '#shared/status.ts';
import { type Layer, layersOf } from './layers.ts';

interface Props {
  status: StatusCode;
  size?: number;
  /** Position of the centre when drawn inside another SVG. */
  at?: readonly [x: number, y: number];
}

/** A status symbol as SVG. Always beside or titled with its word by the caller; itself silent to readers. */
export function StatusSymbol({ status, size = 16, at }: Props) {
  const { shape, fill } = statusOf(status);
  return <PaintedSymbol layers={layersOf(shape, fill)} size={size} at={at} />;
}

interface SymbolProps extends Pick<Props, 'at'> {
  layers: readonly Layer[];
  size: number;
}

/** Painted layers as SVG: by itself, or inside another SVG where `at` says its place. */
export function PaintedSymbol({ layers: all, size, at }: SymbolProps) {
  const layers = all.map((layer) => (
    <path
      key={layer.path}
      d={layer.path}
      fill={layer.fill ?? 'none'}
      stroke={layer.stroke}
      stroke-width={layer.width}
      stroke-dasharray={layer.dash?.join(' ')}
      stroke-linejoin="round"
    />
  ));
  if (at) return <g transform={`translate(${at[0]} ${at[1]}) scale(${size / 16})`}>{layers}</g>;
  return (
    <svg class="symbol" width={size} height={size} viewBox="-8 -8 16 16" aria-hidden="true">
      {layers}
    </svg>
  );
}
