interface Props {
  thinM: number;
  thickM: number;
  /** Thickness that fills the height: the same for all rings of a list. */
  mostM: number;
}

const [width, height] = [46, 22];

/** A ring from its side, its heights to scale among the rings of a list; a taper is thin to the left. */
export function RingSide({ thinM, thickM, mostM }: Props) {
  const scale = (height - 2) / mostM;
  const [thin, thick] = [Math.max(1, thinM * scale), Math.max(2, thickM * scale)];
  const bottom = height - 1;
  return (
    <svg
      class="ring-side"
      width={width}
      height={height}
      viewBox={`0 0 ${width} ${height}`}
      preserveAspectRatio="none"
      aria-hidden="true"
    >
      <path
        d={`M1 ${bottom}H${width - 1}V${bottom - thick}L1 ${bottom - thin}Z`}
        fill={thick > thin ? 'var(--white)' : 'var(--street)'}
        stroke="var(--ink)"
        stroke-width="1.2"
        stroke-linejoin="round"
      />
    </svg>
  );
}
