import { comparePictures } from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { setupOf } from '../../board/judging.ts';
import { useDesk } from '../../board/useDesk.ts';
import { FindingCard } from '../../parts/FindingCard.tsx';
import { Sheet } from '../../parts/Sheet.tsx';
import { useDerived } from '../../parts/useDerived.ts';

/** A setup beside the reference of its group: what differs, what the rules say of it, and what would mend it. */
export function Compare({ setup, onClose }: { setup: string; onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const [whole, setWhole] = useState(false);
  const group = desk.groupOf(setup);
  const reference = group?.reference ?? setup;
  const cameras = useDerived(() => {
    const prefix = `${setup}.`;
    return desk.board
      .records('picture')
      .filter((record) => record.startsWith(prefix))
      .map((record) => record.slice(prefix.length));
  }, [desk, setup]);
  const findings = useDerived(
    () => desk.judging.findings.value.filter((finding) => setupOf(finding) === setup),
    [desk, setup],
  );
  const label = desk.nameOf('setups', setup);
  const referenceLabel = desk.nameOf('setups', reference);
  const isReference = reference === setup;
  return (
    <Sheet
      title={
        isReference ? `${label}, the reference of ${group?.name ?? ''}` : `${label} beside ${referenceLabel}`
      }
      wide
      onClose={onClose}
    >
      {isReference && <p class="muted">The other setups of the group are matched to this one.</p>}
      {findings.map((finding) => (
        <FindingCard key={finding.id} finding={finding} here={setup} />
      ))}
      {findings.length === 0 && !isReference && <p class="muted">Nothing found between them.</p>}
      {cameras.map((camera) => {
        const fields = comparePictures(desk.board, camera, setup, reference);
        const shown = isReference || whole ? fields : fields.filter(({ differs }) => differs);
        return (
          <table key={camera} class="compare" data-compare={`${setup}.${camera}`}>
            <caption>
              <span class="camera-letter">{camera}</span>{' '}
              {desk.board.value('cameras', camera, 'name') ?? `Camera ${camera}`}
              {shown.length === 0 && <span class="muted"> all that is entered is the same</span>}
            </caption>
            {shown.length > 0 && (
              <thead>
                <tr>
                  <th scope="col">
                    <span class="unseen">Field</span>
                  </th>
                  <th scope="col">{label}</th>
                  {!isReference && <th scope="col">{referenceLabel}</th>}
                </tr>
              </thead>
            )}
            <tbody>
              {shown.map((field) => {
                const words = (value: typeof field.own): string =>
                  value === null
                    ? 'not set'
                    : desk.words(
                        { table: 'picture', record: `${setup}.${camera}`, field: field.field },
                        value,
                      );
                return (
                  <tr key={field.field} data-differs={!isReference && field.differs}>
                    <th scope="row">{field.label}</th>
                    <td class="number">{words(field.own)}</td>
                    {!isReference && <td class="number">{words(field.reference)}</td>}
                  </tr>
                );
              })}
            </tbody>
          </table>
        );
      })}
      <div class="row wrap">
        <ScreenLink screen="setup" record={setup} class="act" onFollow={onClose}>
          Open {label}
        </ScreenLink>
        {!isReference && (
          <>
            <ScreenLink screen="setup" record={reference} class="act" onFollow={onClose}>
              Open {referenceLabel}
            </ScreenLink>
            <button
              type="button"
              class="act quiet push"
              aria-pressed={whole}
              onClick={() => setWhole(!whole)}
            >
              {whole ? 'Only what differs' : 'All fields'}
            </button>
          </>
        )}
      </div>
    </Sheet>
  );
}
