interface Props {
  /** Metres, in the order of the work; the last one is the finished grade. */
  elevations: readonly number[];
}

const [width, height, edge] = [132, 96, 10];

/** Steps of one surface over the next, left to right as the work goes; heights are to one scale, exaggerated. */
export function StageSteps({ elevations }: Props) {
  const [low, high] = [Math.min(...elevations), Math.max(...elevations)];
  const span = high - low || 1;
  const base = height - edge;
  const step = (width - 2 * edge) / elevations.length;
  const yOf = (elevation: number) => base - 14 - ((elevation - low) / span) * (base - 14 - edge);
  return (
    <svg
      class="stage-steps"
      width={width}
      height={height}
      viewBox={`0 0 ${width} ${height}`}
      aria-hidden="true"
    >
      {elevations.map((elevation, index) => {
        const [x, y] = [edge + index * step, yOf(elevation)];
        const isLast = index === elevations.length - 1;
        return (
          <g key={index}>
            <path d={`M${x} ${base}V${y}h${step}V${base}z`} fill="var(--street)" />
            <path
              d={`M${x} ${y}h${step}`}
              stroke={isLast ? 'var(--grade)' : 'var(--ink)'}
              stroke-width={isLast ? 3 : 1.6}
            />
          </g>
        );
      })}
      <path d={`M${edge} ${base}H${width - edge}`} stroke="var(--line2)" />
    </svg>
  );
}
