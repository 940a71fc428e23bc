import { crescentPath, curbSideOf, handOf, hourOf } from '#core/drawing/clock.ts';
import { clockHours, clockText, clockWords } from '#core/units/clock.ts';
import { innerPlaces, spreadHours } from './taper-labels.ts';

interface Taper {
  /** Its number in the stack, 1 = on the seat. */
  number: number;
  /** Azimuth of its thick side, radians. */
  thick: number;
}

interface Props {
  /** Bottom-up. */
  tapers: Taper[];
  /** Azimuth up-station; null = unknown, then 12 is grid north. */
  bearing: number | null;
  /** Right of the centre line looking up-station, metres; null = unknown. */
  offset: number | null;
}

const width = 208;
const height = 194;
const radius = 56;
const centre = [width / 2, 96] as const;

/** Tapered rings seen from above, 12 o'clock up-station. The crescents are signs: taper is not to scale. */
export function TaperClock({ tapers, bearing, offset }: Props) {
  const north = bearing ?? 0;
  const hours = tapers.map(({ thick }) => hourOf(thick, north));
  const said = tapers.map(({ number, thick }) =>
    bearing === null
      ? `Ring ${number}: thick side ${Math.round((thick * 180) / Math.PI)} degrees from grid north`
      : `Ring ${number}: thick side ${clockWords(thick, bearing, offset)}`,
  );
  const curb = curbSideOf(offset);
  const single = hours.length === 1;
  const inner = radius - hours.length * 13;
  const labels = innerPlaces(hours, single ? inner - 8 : inner - 15);
  const words = tapers.map(({ thick }) =>
    bearing === null ? null : clockText(clockHours(thick, bearing)).replace(' o’clock', ''),
  );
  const wordHours = spreadHours(hours);
  return (
    <svg width={width} height={height} role="img" aria-label={said.join('. ') || 'No tapered ring.'}>
      <rect x="0" y="0" width={width} height={height} fill="var(--paper)" />
      {curb && <Roadsides curb={curb} />}
      <path d="M14 16l5-9 5 9Z" transform="translate(4 0)" fill="var(--ink)" />
      <text x="34" y="16">
        {bearing === null ? 'grid north' : 'up-station'}
      </text>
      <g transform={`translate(${centre[0]} ${centre[1]})`}>
        <Dial numbers={bearing !== null} taken={hours} />
        {hours.map((hour, index) => {
          const outer = radius - index * 13;
          return (
            <path
              key={tapers[index].number}
              d={crescentPath(outer, outer - 10, hour)}
              fill-rule="evenodd"
              fill={index === 0 ? '#8d9995' : '#5f6d69'}
              stroke="var(--ink)"
              stroke-width="1.3"
            />
          );
        })}
        {single && <Arrow hour={hours[0]} />}
        {hours.map((hour, index) => (
          <ThickLabel
            key={tapers[index].number}
            at={labels[index]}
            number={single ? null : tapers[index].number}
            // The same hour twice is written once.
            words={words.indexOf(words[index]) === index ? words[index] : null}
            wordHour={words[0] === words[1] ? hour : wordHours[index]}
          />
        ))}
      </g>
    </svg>
  );
}

/** The words stand along the bottom, where no hour of the dial comes. */
function Roadsides({ curb }: { curb: 'left' | 'right' }) {
  const isRight = curb === 'right';
  const curbX = isRight ? width - 4 : 4;
  const centreX = width - curbX;
  const inward = isRight ? -1 : 1;
  return (
    <g>
      <path d={`M${centreX} 26V${height}`} stroke="var(--line2)" stroke-width="1.6" stroke-dasharray="9 6" />
      <path
        d={`M${curbX} 0V${height}M${curbX + inward * 4} 0V${height}`}
        stroke="var(--ink)"
        stroke-width="1.4"
      />
      <text x={centreX - inward * 8} y={height - 7} text-anchor={isRight ? 'start' : 'end'}>
        centre line
      </text>
      <text x={curbX + inward * 11} y={height - 7} text-anchor={isRight ? 'end' : 'start'}>
        curb
      </text>
    </g>
  );
}

function Dial({ numbers, taken }: { numbers: boolean; taken: number[] }) {
  const isTaken = (hour: number) =>
    taken.some((other) => Math.abs(other - hour) < 0.9 || Math.abs(other - hour) > 11.1);
  return (
    <g>
      {Array.from({ length: 12 }, (_, index) => {
        const [x, y] = handOf(index);
        const from = radius + 1;
        const to = from + (index % 3 === 0 ? 6 : 3);
        return (
          <path
            key={index}
            d={`M${x * from} ${y * from}L${x * to} ${y * to}`}
            stroke="var(--ink2)"
            stroke-width="1.1"
          />
        );
      })}
      {numbers &&
        [12, 3, 6, 9]
          .filter((hour) => !isTaken(hour))
          .map((hour) => {
            const [x, y] = handOf(hour);
            return (
              <text
                key={hour}
                x={x * (radius + 14)}
                y={y * (radius + 14) + 4.5}
                text-anchor="middle"
                class="soft"
              >
                {hour}
              </text>
            );
          })}
    </g>
  );
}

function Arrow({ hour }: { hour: number }) {
  const [x, y] = handOf(hour + 6);
  const tip = 20;
  return (
    <g stroke="var(--ink)" stroke-width="1.5" fill="var(--ink)">
      <path d={`M${-x * tip} ${-y * tip}L${x * (tip - 4)} ${y * (tip - 4)}`} />
      <path
        d={`M${x * tip} ${y * tip}L${x * (tip - 8) - y * 4} ${y * (tip - 8) + x * 4}L${x * (tip - 8) + y * 4} ${y * (tip - 8) - x * 4}Z`}
        stroke="none"
      />
    </g>
  );
}

interface LabelProps {
  /** Where the thick side is named, from the centre. */
  at: { x: number; y: number };
  number: number | null;
  /** The hour in words, and where on the dial they stand; null: none. */
  words: string | null;
  wordHour: number;
}

function ThickLabel({ at, number, words, wordHour }: LabelProps) {
  const [x, y] = handOf(wordHour);
  return (
    <g>
      {words !== null && (
        <text
          x={x * (radius + (Math.abs(x) > 0.5 ? 9 : 16))}
          y={y * (radius + 16) + 5}
          text-anchor={x > 0.5 ? 'start' : x < -0.5 ? 'end' : 'middle'}
          class="bold"
          style="font-size:15px"
        >
          {words}
        </text>
      )}
      <text x={at.x} y={at.y + 4} text-anchor="middle" class="bold halo">
        {number === null ? 'thick' : `ring ${number}`}
      </text>
      {number === null && (
        <text x={-at.x} y={-at.y + 4} text-anchor="middle" class="bold halo">
          thin
        </text>
      )}
    </g>
  );
}
