import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';

/** What has just appeared is brought into view, clear of the tabs. */
export function IntoView({ children }: { children: ComponentChildren }) {
  const ref = useRef<HTMLDivElement>(null);
  useEffect(() => ref.current?.scrollIntoView({ block: 'nearest' }), []);
  return (
    <div class="into-view" ref={ref}>
      {children}
    </div>
  );
}
