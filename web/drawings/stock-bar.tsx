interface Props {
  needed: number;
  spare: number;
  /** null: nobody counted. */
  onHand: number | null;
  /** Rings of the longest bar of a list. */
  most: number;
}

const [width, height] = [132, 16];

/** What is on hand, filled, on the frame of what is needed; the spares stand dashed behind it. Its figures are beside it. */
export function StockBar({ needed, spare, onHand, most }: Props) {
  const x = (rings: number) => 1 + (Math.min(rings, most) / most) * (width - 2);
  const there = onHand ?? 0;
  return (
    <svg class="stock-bar" width={width} height={height} aria-hidden="true">
      <rect x={1} y={4} width={Math.max(0, x(there) - 1)} height={8} fill="var(--line2)" />
      {spare > 0 && (
        <path
          d={`M${x(needed)} 2.5H${x(needed + spare)}V13.5H${x(needed)}`}
          fill="none"
          stroke="var(--ink2)"
          stroke-dasharray="2 2"
        />
      )}
      {needed > 0 && (
        <rect
          x={1}
          y={2.5}
          width={Math.max(1, x(needed) - 1)}
          height={11}
          fill="none"
          stroke="var(--ink)"
          stroke-width="1.4"
        />
      )}
      {there < needed && onHand !== null && (
        <rect
          x={x(there)}
          y={4}
          width={Math.max(1, x(needed) - x(there) - 0.7)}
          height={8}
          fill="url(#short-of)"
        />
      )}
    </svg>
  );
}

/** Stripes of what is short; once on a page. */
export function StockBarPattern() {
  return (
    <svg width="0" height="0" aria-hidden="true" class="hidden">
      <defs>
        <pattern
          id="short-of"
          width="5"
          height="5"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <rect width="5" height="5" fill="var(--stop-tint)" />
          <path d="M0 0V5" stroke="var(--stop)" stroke-width="1.8" />
        </pattern>
      </defs>
    </svg>
  );
}
