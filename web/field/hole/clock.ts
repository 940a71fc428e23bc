import { useEffect, useState } from 'preact/hooks';

/** The time now, told anew every `every` milliseconds while it is wanted; right again at once after a sleep. */
export function useNow(every: number, isWanted = true): number {
  const [now, setNow] = useState(Date.now);
  useEffect(() => {
    if (!isWanted) return;
    const tell = () => setNow(Date.now());
    tell();
    const timer = setInterval(tell, every);
    document.addEventListener('visibilitychange', tell);
    return () => {
      clearInterval(timer);
      document.removeEventListener('visibilitychange', tell);
    };
  }, [every, isWanted]);
  return now;
}
