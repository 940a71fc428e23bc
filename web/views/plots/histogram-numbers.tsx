import { fixed } from '#core/units/format.ts';
import { fromMetres } from '#core/units/length.ts';
import type { Histogram } from '#shared/plots.ts';
import type { Units } from '../../units.ts';

/** The same as a table, for those who read rather than look. Ranges without covers are left out. */
export function HistogramNumbers({
  histogram,
  units,
  title,
}: {
  histogram: Histogram;
  units: Units;
  title: string;
}) {
  const { bins, below, above, unknown } = histogram;
  const size = (metres: number) =>
    fixed(fromMetres(metres, units.smallUnit), units.smallUnit === 'in' ? 3 : 0);
  const rows = [
    ...(below > 0 ? [[`below ${size(bins[0].fromM)}`, below] as const] : []),
    ...bins
      .filter(({ covers }) => covers > 0)
      .map(({ fromM, toM, covers }) => [`${size(fromM)} to ${size(toM)}`, covers] as const),
    ...(above > 0 ? [[`over ${size(bins[bins.length - 1].toM)}`, above] as const] : []),
    ...(unknown > 0 ? [['no figure', unknown] as const] : []),
  ];
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
          {rows.map(([range, covers]) => (
            <tr key={range}>
              <th scope="row">{range}</th>
              <td class="number">{covers.toLocaleString('en')}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}
