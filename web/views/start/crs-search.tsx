import { useEffect, useState } from 'preact/hooks';
import type { CrsFound } from '#shared/crs.ts';
import { faultOf, findCrs } from '../../api.ts';

interface Props {
  chosen: CrsFound | null;
  choose: (found: CrsFound) => void;
}

const restMs = 250;

/** A grid by its EPSG code or by words of its name or area; what is found is chosen from, never taken by itself. */
export function CrsSearch({ chosen, choose }: Props) {
  const [words, setWords] = useState('');
  const [found, setFound] = useState<CrsFound[] | null>(null);
  const [fault, setFault] = useState<string | null>(null);
  const [isLooking, setIsLooking] = useState(false);
  useEffect(() => {
    const asked = words.trim();
    if (asked.length < 2) {
      setFound(null);
      setIsLooking(false);
      return;
    }
    const controller = new AbortController();
    setIsLooking(true);
    const timer = setTimeout(async () => {
      try {
        setFound(await findCrs(asked, controller.signal));
        setFault(null);
      } catch (error) {
        if (controller.signal.aborted) return;
        setFault(faultOf(error).message);
      }
      setIsLooking(false);
    }, restMs);
    return () => {
      clearTimeout(timer);
      controller.abort();
    };
  }, [words]);
  return (
    <fieldset class="crs-search">
      <legend>Grid</legend>
      <label>
        <span>EPSG code, or words of its name or place</span>
        <input
          type="search"
          value={words}
          placeholder="2264, or North Carolina ftUS"
          onInput={({ currentTarget }) => setWords(currentTarget.value)}
        />
      </label>
      {chosen && !found?.some(({ code }) => code === chosen.code) && (
        <p>
          <b>{chosen.code}</b> {chosen.name}, {chosen.unitName}
        </p>
      )}
      {fault && <p class="wrong">{fault}</p>}
      {isLooking && !found && <p class="quiet">Looking through the register of grids.</p>}
      {found && (
        <>
          <p class="quiet" role="status">
            {found.length === 0
              ? 'No grid is called so. Longitude and latitude is none: heights of a quarter inch need metres or feet.'
              : `${found.length} found. The foot stands with each: international and US survey are not the same.`}
          </p>
          {found.map((one) => (
            <label key={one.code} class="crs-found">
              <input
                type="radio"
                name="crs"
                checked={chosen?.code === one.code}
                onChange={() => choose(one)}
              />
              <span>
                <b>{one.code}</b> {one.name}, <b>{one.unitName}</b> <span class="quiet">{one.area}</span>
              </span>
            </label>
          ))}
        </>
      )}
    </fieldset>
  );
}
