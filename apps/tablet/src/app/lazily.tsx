import type { ComponentType, JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';

/** A screen whose code is fetched when it is first wanted, or ahead of time while nothing else is going on. */
export interface LazyScreen<P> {
  (props: P): JSX.Element | null;
  /** Fetches the code, so that the screen opens with the network gone. */
  readonly prepare: () => Promise<void>;
}

function Opening(): JSX.Element {
  return (
    <p class="empty" role="status">
      Opening…
    </p>
  );
}

/**
 * Makes a screen of a function that imports it.
 *
 * @param Meanwhile shown until it is here; with `null` nothing is, also where it cannot be fetched
 * @param onDrawn told whenever it has been drawn for the first time somewhere
 */
export function lazily<P extends object>(
  load: () => Promise<ComponentType<P>>,
  Meanwhile: (() => JSX.Element) | null = Opening,
  onDrawn: () => void = () => {},
): LazyScreen<P> {
  let loaded: ComponentType<P> | null = null;
  const prepare = async (): Promise<void> => {
    loaded ??= await load();
  };
  const screen = (props: P): JSX.Element | null => {
    const [failed, setFailed] = useState(false);
    const [isReady, setReady] = useState(loaded !== null);
    useEffect(() => {
      // it may have come between the first drawing and now, and then nobody else says so
      if (!isReady)
        prepare().then(
          () => setReady(true),
          () => setFailed(true),
        );
    }, []);
    useEffect(() => {
      if (isReady) onDrawn();
    }, [isReady]);
    if (loaded) {
      const Loaded = loaded;
      return <Loaded {...props} />;
    }
    if (!Meanwhile) return null;
    return failed ? (
      <div class="empty" role="alert">
        <h2>This screen could not be fetched</h2>
        <p>
          The base cannot be reached, and this screen was not opened before. It comes when the base is back.
        </p>
      </div>
    ) : (
      <Meanwhile />
    );
  };
  return Object.assign(screen, { prepare });
}
