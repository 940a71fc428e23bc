import { announcement, covers, project, projects, view } from './state.ts';
import { Desk } from './views/desk.tsx';
import { Grade } from './views/grade/grade.tsx';
import { Header } from './views/header.tsx';
import { KeyList } from './views/key-list.tsx';
import { LoadingLine } from './views/loading-line.tsx';
import { Empty, FaultNote } from './views/notes.tsx';
import { JobFault } from './views/plan-again.tsx';
import { Surveys } from './views/surveys/surveys.tsx';

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
  if (!now) {
    if (fault) return <FaultNote fault={fault} />;
    if (loading || value === null) return null;
    return (
      <Empty
        sentence={
          view.value.project
            ? `There is no project "${view.value.project}" here.`
            : 'No project yet. Projects are made through the API, for now.'
        }
      />
    );
  }
  if (view.value.page === 'surveys') return <Surveys project={now} />;
  if (view.value.page === 'grade') return <Grade project={now} />;
  if (covers.value.fault && covers.value.value === null) return <FaultNote fault={covers.value.fault} />;
  return <Desk project={now} />;
}
