import type { JSX } from 'preact';
import { Flags } from './Flags.tsx';
import { SetupFindings } from './SetupFindings.tsx';
import { Takes } from './Takes.tsx';

/** What was shot of the setup, and what is wrong with it. */
export function SetupSide({ setup }: { setup: string }): JSX.Element {
  return (
    <>
      <Takes setup={setup} />
      <SetupFindings setup={setup} />
      <Flags setup={setup} />
    </>
  );
}
