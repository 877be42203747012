import type { JSX } from 'preact';
import { Sheet } from '../../parts/Sheet.tsx';
import { SingleKeys } from './Help.tsx';
import { GOES, singleKeys } from './keys.ts';
import './find.css';

type Line = readonly [what: string, ...keys: readonly string[]];

const ALWAYS: readonly Line[] = [
  ['Find', 'Ctrl or ⌘', 'K'],
  ['Take back one’s last edit', 'Ctrl or ⌘', 'Z'],
  ['Bring it back', 'Ctrl or ⌘', 'Shift', 'Z'],
  ['On Setup: roll, or cut what is rolling', 'Ctrl or ⌘', 'Shift', 'Enter'],
  ['Close a sheet', 'Esc'],
];

const SINGLE: readonly Line[] = [
  ['Find', '/'],
  ['This card', '?'],
  ['Next setup, on Setup and Sound', 'J'],
  ['Setup before', 'K'],
];

/** The card of shortcuts. */
export function KeysSheet({ onClose }: { onClose: () => void }): JSX.Element {
  return (
    <Sheet title="Keys" onClose={onClose} wide>
      <Lines title="Always" lines={ALWAYS} />
      <SingleKeys />
      <div data-off={!singleKeys.value} class="keys-single">
        <Lines title="Single keys" lines={SINGLE} />
        <Lines
          title="One after the other: go to a screen"
          lines={GOES.map(([key, , word]): Line => [word, 'G', key.toUpperCase()])}
        />
      </div>
    </Sheet>
  );
}

function Lines({ title, lines }: { title: string; lines: readonly Line[] }): JSX.Element {
  return (
    <section class="stack" aria-label={title}>
      <h3 class="label">{title}</h3>
      <dl class="keys">
        {lines.map(([what, ...keys]) => (
          <div key={what} class="keys-line">
            <dt>{what}</dt>
            <dd>
              {keys.map((key) => (
                <kbd key={key}>{key}</kbd>
              ))}
            </dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
