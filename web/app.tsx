import { announcement, covers, project, projects, show, view } from './state.ts';
import { Desk } from './views/desk.tsx';
import { Grade } from './views/grade/grade.tsx';
import { Header } from './views/header.tsx';
import { KeyList } from './views/key-list.tsx';
import { LoadingLine } from './views/loading-line.tsx';
import { Empty, FaultNote } from './views/notes.tsx';
import { Outlook } from './views/outlook/outlook.tsx';
import { JobFault } from './views/plan-again.tsx';
import { Plots } from './views/plots/plots.tsx';
import { Rings } from './views/rings/rings.tsx';
import { NewProject } from './views/start/new-project.tsx';
import { Surveys } from './views/surveys/surveys.tsx';
import { TakeoffPage } from './views/takeoff/takeoff.tsx';

export function App() {
  return (
    <div class={`app page-${view.value.page}${view.value.cover ? ' has-card' : ''}`}>
      <Header />
      <LoadingLine />
      <JobFault />
      {project.value && projects.value.fault && <FaultNote fault={projects.value.fault} />}
      <main>
        <Content />
      </main>
      <KeyList />
      <p class="hidden announcement" role="status">
        {announcement.value}
      </p>
    </div>
  );
}

function Content() {
  const { value, fault, loading } = projects.value;
  const now = project.value;
  if (view.value.page === 'new' && value !== null) return <NewProject />;
  if (!now) {
    if (fault) return <FaultNote fault={fault} />;
    if (loading || value === null) return null;
    return (
      <Empty
        sentence={
          view.value.project
            ? `There is no project "${view.value.project}" here.`
            : 'No project yet. Make one to see what has to be raised.'
        }
        action={{ word: 'New project', run: () => show({ page: 'new', project: null }) }}
      />
    );
  }
  if (view.value.page === 'surveys') return <Surveys project={now} />;
  if (view.value.page === 'rings') return <Rings project={now} />;
  if (view.value.page === 'overlay') return <Outlook project={now} />;
  if (view.value.page === 'plots') return <Plots project={now} />;
  if (view.value.page === 'takeoff') return <TakeoffPage project={now} />;
  if (view.value.page === 'grade') return <Grade project={now} />;
  if (covers.value.fault && covers.value.value === null) return <FaultNote fault={covers.value.fault} />;
  return <Desk project={now} />;
}
