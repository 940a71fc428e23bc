import { useEffect, useState } from 'preact/hooks';
import type { CrewNightHead } from '#shared/crew-night.ts';
import type { Project } from '#shared/project.ts';
import { agencies, agencyApi, faultOf } from '../api.ts';
import { nightText } from '../night-words.ts';
import { crewNight, crewNights } from './calls.ts';
import { DeskLink } from './elsewhere.tsx';
import { hasSignal, lineOf } from './line.ts';
import { choose, nights } from './night.ts';
import { keepNight, sendSoon } from './sync.ts';

interface Offer {
  agency: string;
  project: Project;
  head: CrewNightHead;
}

const nightWords = ({ night, crew }: Pick<CrewNightHead, 'night' | 'crew'>) =>
  [nightText(night), crew ?? 'no crew yet'].join(', ');

const keyOf = (agency: string, project: string, { night, crew }: Pick<CrewNightHead, 'night' | 'crew'>) =>
  JSON.stringify([agency, project, night, crew]);

async function readOffers(): Promise<Offer[]> {
  const offers: Offer[] = [];
  for (const { id: agency } of await agencies())
    for (const project of await agencyApi(agency).projects())
      for (const head of await crewNights(agency, project.id)) offers.push({ agency, project, head });
  return offers;
}

/** Nights that the phone holds, and those that the server has; taking one keeps all of it on the phone. */
export function ChooseNight() {
  const [offers, setOffers] = useState<Offer[]>([]);
  const [note, setNote] = useState('');
  useEffect(() => {
    readOffers().then(setOffers, (error: unknown) => {
      const found = lineOf(error);
      const why = found.state === 'refused' ? found.words : 'No signal.';
      setNote(`${why} Nights on this phone are here all the same.`);
    });
  }, []);
  const take = async ({ agency, project, head }: Offer) => {
    setNote(`Putting ${head.covers} covers on this phone ...`);
    try {
      const key = keyOf(agency, project.id, head);
      const came = await crewNight({ agency, project: project.id, ...head });
      await keepNight({ key, agency, ...came! });
      await choose(key);
      sendSoon();
    } catch (error) {
      setNote(faultOf(error).message);
    }
  };
  return (
    <main class="crew-main">
      <h1>Which night?</h1>
      {note && <p role="status">{note}</p>}
      {nights.value.length > 0 && <h2>On this phone</h2>}
      {nights.value.map(({ key, bundle }) => (
        <button type="button" class="crew-choice" key={key} onClick={() => void choose(key)}>
          <b>{nightWords(bundle)}</b>
          <span>
            {bundle.project.name}, {bundle.cards.length} covers
          </span>
        </button>
      ))}
      {offers.length > 0 && <h2>From the office</h2>}
      {offers.map((offer) => (
        <button
          type="button"
          class="crew-choice"
          key={keyOf(offer.agency, offer.project.id, offer.head)}
          onClick={() => void take(offer)}
        >
          <b>{nightWords(offer.head)}</b>
          <span>
            {offer.project.name}, {offer.head.covers} covers, {offer.head.left} to do
          </span>
        </button>
      ))}
      {hasSignal.value && (
        <nav class="crew-links" aria-label="Other pages">
          <DeskLink />
        </nav>
      )}
    </main>
  );
}
