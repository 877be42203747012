import { useEffect, useState } from 'preact/hooks';

const MINUTE_MS = 60_000;

/** The time, renewed once a minute, ms since 1970. */
export function useMinute(now: () => number): number {
  const [minute, setMinute] = useState(now);
  useEffect(() => {
    const timer = setInterval(() => setMinute(now()), MINUTE_MS);
    return () => clearInterval(timer);
  }, [now]);
  return minute;
}
