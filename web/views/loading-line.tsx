import { useEffect, useState } from 'preact/hooks';
import { card, covers, projects, streets } from '../state.ts';

/** A thin ink line over the old picture; after two seconds it says what for. */
export function LoadingLine() {
  const what = projects.value.loading
    ? 'Loading the projects'
    : covers.value.loading
      ? 'Loading the covers'
      : card.value.loading
        ? 'Loading the card'
        : streets.value.loading
          ? 'Loading the streets'
          : null;
  const [isLong, setIsLong] = useState(false);
  useEffect(() => {
    setIsLong(false);
    if (what === null) return;
    const timer = setTimeout(() => setIsLong(true), 2000);
    return () => clearTimeout(timer);
  }, [what]);
  return (
    <div class="loading-line" role="status">
      {what !== null && <span class="ink" />}
      {what !== null && isLong && <span class="what">{what}</span>}
    </div>
  );
}
