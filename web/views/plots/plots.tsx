import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Histogram, ProjectPlots } from '#shared/plots.ts';
import type { Project } from '#shared/project.ts';
import { HistogramDrawing } from '../../drawings/histogram.tsx';
import { load, server } from '../../load.ts';
import { cutAbove, fromZero, joinBins } from '../../plots/bars.ts';
import { buildupFinding, residualFinding } from '../../plots/words.ts';
import type { LengthRange, RangeField } from '../../ranges.ts';
import { type Loaded, noFilter, nothingLoaded, show, tilesChanged } from '../../state.ts';
import { nominal, type Units, unitsOf } from '../../units.ts';
import { NextStep } from '../next-step.tsx';
import { Empty, FaultNote } from '../notes.tsx';
import { HistogramNumbers } from './histogram-numbers.tsx';
import { Nights } from './nights.tsx';
import { Streets } from './streets.tsx';

const plots = signal<Loaded<ProjectPlots> & { of: string | null }>({ ...nothingLoaded, of: null });

/** Where one looks rather than reads: how much, how well, how much is left, how far. */
export function Plots({ project }: { project: Project }) {
  const revision = `${project.inputRevision}/${project.planRevision}/${tilesChanged.value}`;
  useEffect(() => {
    const controller = new AbortController();
    if (plots.peek().of !== project.id) plots.value = { ...nothingLoaded, of: project.id };
    void load(plots, () => server().plots(project.id, controller.signal)).then(() => {
      plots.value = { ...plots.peek(), of: project.id };
    });
    return () => controller.abort();
  }, [project.id, revision]);
  const { value, fault, loading } = plots.value;
  if (project.coverCount === 0) {
    return (
      <Empty
        sentence="No covers yet. Add a register to see how much there is to raise."
        action={{ word: 'Add files', run: () => show({ page: 'surveys' }) }}
      />
    );
  }
  return (
    <div class="surveys plots">
      <div class="surveys-body" aria-busy={loading}>
        <h1>Plots</h1>
        <p class="lead">
          {project.coverCount === 1 ? '1 cover' : `${project.coverCount.toLocaleString('en')} covers`} of{' '}
          <b>{project.name}</b>
          {project.planStale && <>; something changed since the plan that they show</>}.
        </p>
        <NextStep project={project} />
        {fault && <FaultNote fault={fault} />}
        {value && <Four value={value} project={project} />}
      </div>
    </div>
  );
}

const mostBars = 36;

/** The covers of a bar, on map and table. */
const listRange = (field: RangeField, range: LengthRange) =>
  show({
    page: 'map',
    ...noFilter,
    ranges: { [field]: range },
    sort: field === 'buildup' ? 'netBuildup' : 'worst',
    cover: null,
    at: null,
  });

function Four({ value, project }: { value: ProjectPlots; project: Project }) {
  const units = unitsOf(project);
  const tolerance = project.limits.toleranceM.value;
  const worst = fromZero(joinBins(value.worst, Infinity), value.worst.binM);
  const buildup = joinBins(value.netBuildup, mostBars);
  return (
    <div class="plot-grid">
      <Plot
        title="Net buildup"
        finding={buildupFinding(value.netBuildup, units)}
        histogram={value.netBuildup}
        units={units}
        field="buildup"
        sort="-netBuildup"
        sortWords="List the covers, tallest first"
      >
        {buildup.bars.length > 0 && (
          <HistogramDrawing
            bars={buildup}
            units={units}
            onBar={(range) => listRange('buildup', range)}
            said={buildupFinding(value.netBuildup, units)}
            mark={
              value.netBuildup.medianM === null
                ? null
                : { at: value.netBuildup.medianM, word: `median ${nominal(value.netBuildup.medianM, units)}` }
            }
          />
        )}
      </Plot>
      <Plot
        title="Worst rim error of each stack"
        finding={residualFinding(value.worst, tolerance, units)}
        histogram={value.worst}
        units={units}
        field="rim"
        sort="-worst"
        sortWords="List the covers, worst first"
      >
        {value.worst.bins.length > 0 && (
          <HistogramDrawing
            bars={cutAbove(worst, 2 * tolerance)}
            units={units}
            tolerance={tolerance}
            onBar={(range) => listRange('rim', range)}
            said={residualFinding(value.worst, tolerance, units)}
          />
        )}
      </Plot>
      <Streets plots={value} units={units} />
      <Nights nights={value.nights} />
    </div>
  );
}

interface PlotProps {
  title: string;
  finding: string;
  histogram: Histogram;
  units: Units;
  field: RangeField;
  sort: string;
  sortWords: string;
  children: preact.ComponentChildren;
}

function Plot({ title, finding, histogram, units, field, sort, sortWords, children }: PlotProps) {
  return (
    <section class="plot-part" aria-label={title}>
      <h2>{title}</h2>
      <p class="plot-finding">{finding}</p>
      {children}
      {histogram.bins.length > 0 && (
        <div class="plot-foot">
          <button type="button" class="link" onClick={() => show({ page: 'map', sort })}>
            {sortWords}
          </button>
          <HistogramNumbers
            histogram={histogram}
            units={units}
            title={title}
            onRange={(range) => listRange(field, range)}
          />
        </div>
      )}
    </section>
  );
}
