import { useEffect, useState } from 'preact/hooks';

/**
 * Keeps the screen on while `isWanted`; a phone that turns it off all the same asks again when it is looked at.
 * False where the browser cannot: the time runs by the clock then too.
 */
export function useScreenAwake(isWanted: boolean): boolean {
  const [isAwake, setAwake] = useState(false);
  useEffect(() => {
    if (!isWanted || !('wakeLock' in navigator)) return;
    let lock: WakeLockSentinel | null = null;
    let isOver = false;
    const ask = async () => {
      if (document.visibilityState !== 'visible') return;
      try {
        lock = await navigator.wakeLock.request('screen');
        if (isOver) await lock.release();
        else setAwake(true);
        lock.addEventListener('release', () => setAwake(false));
      } catch {
        setAwake(false);
      }
    };
    void ask();
    document.addEventListener('visibilitychange', ask);
    return () => {
      isOver = true;
      document.removeEventListener('visibilitychange', ask);
      void lock?.release();
    };
  }, [isWanted]);
  return isAwake;
}
