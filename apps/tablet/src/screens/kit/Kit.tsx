import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { lazily } from '../../app/lazily.tsx';
import { ScreenLink } from '../../app/links.tsx';
import { type KitPage, readKitPlace } from './address.ts';
import { CardsSection } from './cards/CardsSection.tsx';
import { ChecksSection } from './checks/ChecksSection.tsx';
import { CameraLine } from './custody/CameraLine.tsx';
import { People, PersonPage } from './custody/People.tsx';
import { Cases } from './items/Cases.tsx';
import { ForSetup } from './items/ForSetup.tsx';
import { ItemPage } from './items/ItemPage.tsx';
import { ItemsSection } from './items/ItemsSection.tsx';
import { PowerSection } from './power/PowerSection.tsx';
import './kit.css';

const Labels = lazily(() => import('./labels/Labels.tsx').then((module) => module.Labels));

const TABS: readonly { readonly page: KitPage; readonly label: string }[] = [
  { page: 'items', label: 'Items' },
  { page: 'people', label: 'People' },
  { page: 'cards', label: 'Cards' },
  { page: 'power', label: 'Power' },
  { page: 'checks', label: 'Checks' },
];

/** Pages that are reached from the items and stand under their tab. */
const UNDER_ITEMS: ReadonlySet<KitPage> = new Set(['items', 'setups', 'cases', 'labels']);

/** Who has what, what state the cards and batteries are in, and what must be looked at. */
export function Kit({ record }: { record: string | null }): JSX.Element {
  const place = readKitPlace(record);
  const page = useRef<HTMLDivElement>(null);
  // another page of the kit begins at its top, as another screen does
  useEffect(() => page.current?.closest('.shell-page')?.scrollTo(0, 0), [record]);
  const tab = UNDER_ITEMS.has(place.page) ? 'items' : place.page;
  return (
    <div class="kit-page" ref={page}>
      <header class="kit-top">
        <h1>Kit</h1>
        <nav class="kit-tabs" aria-label="Kit">
          {TABS.map(({ page, label }) => (
            <ScreenLink
              key={page}
              screen="kit"
              record={page}
              aria-current={page === tab ? 'page' : undefined}
              data-kit-page={page}
            >
              {label}
            </ScreenLink>
          ))}
        </nav>
      </header>
      <CameraLine />
      <Page page={place.page} record={place.record} />
    </div>
  );
}

function Page({ page, record }: { page: KitPage; record: string | null }): JSX.Element {
  switch (page) {
    case 'cards':
      return <CardsSection record={record} />;
    case 'power':
      return <PowerSection record={record} />;
    case 'checks':
      return <ChecksSection record={record} />;
    case 'people':
      return record === null ? <People /> : <PersonPage id={record} />;
    case 'cases':
      return <Cases />;
    case 'setups':
      return <ForSetup setup={record} />;
    case 'labels':
      return <Labels />;
    case 'items':
      return record === null ? <ItemsSection /> : <ItemPage key={record} id={record} />;
  }
}
