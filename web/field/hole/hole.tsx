import type { ComponentType } from 'preact';
import { useEffect, useMemo, useState } from 'preact/hooks';
import './hole.css';
import './keys/keys.css';
import './stack/stack.css';
import './steps/steps.css';
import './photo/photo.css';
import './tapes/tapes.css';
import './vacuum/vacuum.css';
import { Cautions } from './cautions.tsx';
import { HoleHead } from './head.tsx';
import { useKept } from './kept.ts';
import { activeField } from './keys/active.ts';
import { Pad } from './keys/pad.tsx';
import { acceptedBy } from './limits.ts';
import { PhotoTab } from './photo/photo-tab.tsx';
import { StackTab } from './stack/stack-tab.tsx';
import { StepsTab } from './steps/steps-tab.tsx';
import { TapesTab } from './tapes/tapes-tab.tsx';
import type { Hole as HoleBundle, HoleProps, TabName } from './types.ts';
import { fieldUnits } from './units.ts';
import { VacuumTab } from './vacuum/vacuum-tab.tsx';

const tabs = [
  { tab: 'stack', word: 'Stack', Part: StackTab },
  { tab: 'tapes', word: 'Tapes', Part: TapesTab },
  { tab: 'steps', word: 'Steps', Part: StepsTab },
  { tab: 'vacuum', word: 'Vacuum', Part: VacuumTab },
  { tab: 'photo', word: 'Photo', Part: PhotoTab },
] as const satisfies readonly { tab: TabName; word: string; Part: ComponentType<{ hole: HoleBundle }> }[];

/** From here on the stack stands beside the other parts. */
const besideFrom = '(min-width: 900px)';

/** What the foreman has in his hand at one cover. Another cover begins with its own entries. */
export function Hole(props: HoleProps) {
  return <OneCover key={props.card.structure.id} {...props} />;
}

function OneCover(props: HoleProps) {
  const { card, project } = props;
  const [tab, setTab] = useState<TabName>('stack');
  const goTo = (next: TabName) => {
    setTab(next);
    scrollTo(0, 0);
  };
  const hole: HoleBundle = useMemo(
    () => ({
      ...props,
      units: fieldUnits(project),
      accepted: acceptedBy(card),
      goTo,
    }),
    Object.values(props),
  );
  const isBeside = useMedia(besideFrom);
  // Read again on another night: the key names it.
  const [readAt, setRead] = useKept<string | null>(
    `${project.id}:${card.night ?? ''}:${card.structure.id}:read`,
    null,
  );
  const [areCautionsOpen, setCautionsOpen] = useState(readAt === null);
  const open = isBeside && tab === 'stack' ? 'tapes' : tab;
  const { Part } = tabs.find((one) => one.tab === open)!;
  if (areCautionsOpen)
    return (
      <div class="hole">
        <HoleHead hole={hole} />
        <Cautions
          twoPersonsKg={hole.accepted.twoPersonsKg}
          isFirst={readAt === null}
          onClose={() => {
            setRead(readAt ?? new Date().toISOString());
            setCautionsOpen(false);
            scrollTo(0, 0);
          }}
        />
      </div>
    );
  return (
    <div class={`hole${isBeside ? ' beside' : ''}`}>
      <HoleHead hole={hole} onCautions={() => setCautionsOpen(true)} />
      <main class="hole-body">
        {isBeside && (
          <section class="hole-part" aria-label="Stack">
            <StackTab hole={hole} />
          </section>
        )}
        <section class="hole-part" id="hole-part" aria-label={tabs.find((one) => one.tab === open)!.word}>
          <Part hole={hole} />
        </section>
      </main>
      <footer class="hole-foot">
        <Pad />
        {activeField.value === null && (
          <nav class="hole-tabs" aria-label="Parts of this cover">
            {tabs
              .filter(({ tab: one }) => !isBeside || one !== 'stack')
              .map(({ tab: one, word }) => (
                <button
                  type="button"
                  key={one}
                  aria-current={one === open ? 'page' : undefined}
                  onClick={() => goTo(one)}
                >
                  {word}
                </button>
              ))}
          </nav>
        )}
      </footer>
    </div>
  );
}

function useMedia(query: string): boolean {
  const [matches, setMatches] = useState(() => matchMedia(query).matches);
  useEffect(() => {
    const media = matchMedia(query);
    const follow = () => setMatches(media.matches);
    media.addEventListener('change', follow);
    return () => media.removeEventListener('change', follow);
  }, [query]);
  return matches;
}
