import { crescentPath, curbSideOf, handOf } from '#core/drawing/clock.ts';
import { hourShort } from './ring-words.ts';

interface Props {
  /** Hours of the thick and thin sides, bottom-up, with the ring's number in the stack. */
  tapers: readonly { number: number; thick: number; thin: number }[];
  offset: number | null;
}

const width = 196;
const height = 214;
const radius = 58;
const centre = [98, 112] as const;

/** Tapered rings from above with the road about them, 12 o'clock up-station. Their taper is a sign, not to scale. */
export function HoleClock({ tapers, offset }: Props) {
  const curb = curbSideOf(offset);
  const said = tapers
    .map(
      ({ number, thick, thin }) =>
        `Ring ${number}: thick side at ${hourShort(thick)}, thin side at ${hourShort(thin)}`,
    )
    .join('. ');
  const isOne = tapers.length === 1;
  const marked = tapers.flatMap(({ thick, thin }) => (isOne ? [thick, thin] : [thick]));
  return (
    <svg
      class="hole-clock"
      width={width}
      height={height}
      role="img"
      aria-label={`${said || 'No taper'}. 12 o’clock is up-station.`}
    >
      <path d={`M${centre[0] - 40} 20l6-12 6 12Z`} fill="var(--ink)" />
      <text x={centre[0] - 22} y="20">
        up-station
      </text>
      {curb && <Roadsides curb={curb} />}
      <g transform={`translate(${centre[0]} ${centre[1]})`}>
        {Array.from({ length: 12 }, (_, hour) => {
          const [x, y] = handOf(hour);
          const to = radius + (hour % 3 === 0 ? 8 : 5);
          return (
            <path
              key={hour}
              d={`M${x * (radius + 1)} ${y * (radius + 1)}L${x * to} ${y * to}`}
              stroke="var(--ink)"
              stroke-width="1.5"
            />
          );
        })}
        {tapers.map(({ number, thick }, index) => (
          <path
            key={number}
            d={crescentPath(radius - index * 19, radius - index * 19 - 13, thick)}
            fill-rule="evenodd"
            fill={index === 0 ? '#8d9995' : '#44514e'}
            stroke="var(--ink)"
            stroke-width="1.5"
          />
        ))}
        {tapers.length === 0 && <circle r={radius} fill="none" stroke="var(--ink)" stroke-width="6" />}
        {isOne && <Arrow to={tapers[0].thin} />}
        {marked.map((hour) => {
          const [x, y] = handOf(hour);
          return (
            <text
              key={hour}
              x={x * (radius + 22)}
              y={y * (radius + 22) + 7}
              text-anchor="middle"
              class="hour"
            >
              {hourShort(hour)}
            </text>
          );
        })}
      </g>
    </svg>
  );
}

/** Names stand upright along the sides, where no hour of the dial comes. */
function Roadsides({ curb }: { curb: 'left' | 'right' }) {
  const isRight = curb === 'right';
  const curbX = isRight ? width - 3 : 3;
  const inward = isRight ? -1 : 1;
  const centreX = width - curbX;
  return (
    <g>
      <path
        d={`M${curbX} 0V${height}M${curbX + inward * 5} 0V${height}`}
        stroke="var(--ink)"
        stroke-width="1.8"
      />
      <path d={`M${centreX} 0V${height}`} stroke="var(--ink2)" stroke-width="2" stroke-dasharray="11 7" />
      <text x={centreX - inward * 8} y={height - 4} text-anchor={isRight ? 'start' : 'end'}>
        centre
      </text>
      <text x={curbX + inward * 11} y={height - 4} text-anchor={isRight ? 'end' : 'start'}>
        curb
      </text>
    </g>
  );
}

function Arrow({ to }: { to: number }) {
  const [x, y] = handOf(to);
  const tip = 32;
  return (
    <g stroke="var(--ink)" stroke-width="2" fill="var(--ink)">
      <path d={`M${-x * tip} ${-y * tip}L${x * (tip - 6)} ${y * (tip - 6)}`} />
      <path
        stroke="none"
        d={`M${x * tip} ${y * tip}L${x * (tip - 11) - y * 5.5} ${y * (tip - 11) + x * 5.5}L${x * (tip - 11) + y * 5.5} ${y * (tip - 11) - x * 5.5}Z`}
      />
    </g>
  );
}
