import { fixed } from '#core/units/format.ts';
import { fromMetres } from '#core/units/length.ts';
import type { Histogram } from '#shared/plots.ts';
import type { LengthRange } from '../../ranges.ts';
import type { Units } from '../../units.ts';

/** The same as a table, for those who read rather than look. Ranges without covers are left out. */
export function HistogramNumbers({
  histogram,
  units,
  title,
  onRange,
}: {
  histogram: Histogram;
  units: Units;
  title: string;
  /** Leads to the covers of a row. */
  onRange: (range: LengthRange) => void;
}) {
  const { bins, below, above, unknown } = histogram;
  const size = (metres: number) =>
    fixed(fromMetres(metres, units.smallUnit), units.smallUnit === 'in' ? 3 : 0);
  const [low, high] = [bins[0].fromM, bins[bins.length - 1].toM];
  const rows: { words: string; covers: number; range: LengthRange | null }[] = [
    { words: `below ${size(low)}`, covers: below, range: { from: null, below: low } },
    ...bins.map(({ fromM, toM, covers }) => ({
      words: `${size(fromM)} to ${size(toM)}`,
      covers,
      range: { from: fromM, below: toM },
    })),
    { words: `over ${size(high)}`, covers: above, range: { from: high, below: null } },
    { words: 'no figure', covers: unknown, range: null },
  ].filter(({ covers }) => covers > 0);
  return (
    <details>
      <summary>As numbers</summary>
      <table class="plot-numbers">
        <caption class="hidden">{title}</caption>
        <thead>
          <tr>
            <th scope="col">Range, {units.smallUnit}</th>
            <th scope="col" class="number">
              Covers
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map(({ words, covers, range }) => (
            <tr key={words}>
              <th scope="row">
                {range === null ? (
                  words
                ) : (
                  <button type="button" class="link" onClick={() => onRange(range)}>
                    {words}
                  </button>
                )}
              </th>
              <td class="number">{covers.toLocaleString('en')}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}
