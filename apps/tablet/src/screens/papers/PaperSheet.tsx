import {
  type FactGroup,
  type PaperColumn,
  type PaperDocument,
  type PaperFact,
  type PaperSection,
  type PaperTable,
  pageHeading,
  writtenDay,
} from '@plumbline/shared/papers';
import type { JSX } from 'preact';
import { PaperMatch } from './PaperMatch.tsx';

/** A paper as a page: to be read here, and to be printed. */
export function PaperSheet({ paper }: { paper: PaperDocument }): JSX.Element {
  const { kind, title, shoot, day, dated, number, sections } = paper;
  return (
    <article class="paper-sheet" data-paper={kind} data-upright={kind === 'scouting' || undefined}>
      <header>
        <h1>{title}</h1>
        <p>
          {shoot}
          {day !== null && ` · ${writtenDay(day)}`}
        </p>
        <p class="paper-dated">
          {number ?? 'Not numbered: made on this tablet, without the base'} · as the board stood here at{' '}
          {dated}
        </p>
      </header>
      {sections.map((section) => (
        <Section key={section.id} section={section} />
      ))}
    </article>
  );
}

function Section({ section }: { section: PaperSection }): JSX.Element {
  const { title, subtitle, groups, tables, notes, match } = section;
  return (
    <section aria-label={title}>
      <h2>
        {title}
        {subtitle !== null && (
          <span class="paper-subtitle" dir="auto">
            {subtitle}
          </span>
        )}
      </h2>
      {groups.map((group, index) => (
        <Facts key={index} group={group} />
      ))}
      {match !== null && <PaperMatch model={match} />}
      {tables.map((table) => (
        <Table key={table.id} table={table} />
      ))}
      {notes.map((note) => (
        <p key={note} class="paper-note">
          {note}
        </p>
      ))}
    </section>
  );
}

function Facts({ group }: { group: FactGroup }): JSX.Element {
  return (
    <div class="paper-group">
      {group.title !== null && <h3>{group.title}</h3>}
      <dl>
        {group.facts.map((fact) => (
          <div key={fact.column.key} data-wide={isWide(fact) || undefined}>
            <dt>{fact.column.heading}</dt>
            <dd dir="auto" data-key={fact.column.key}>
              {fact.cell.text}
              {unitOf(fact)}
            </dd>
          </div>
        ))}
      </dl>
    </div>
  );
}

function isWide({ cell }: PaperFact): boolean {
  return cell.text.length > 28;
}

function unitOf({ column, cell }: PaperFact): string {
  if (column.unit === null || typeof cell.value !== 'number') return '';
  return column.unit === '°' ? '°' : ` ${column.unit}`;
}

function Table({ table }: { table: PaperTable }): JSX.Element {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a table wider than the page is scrolled by key as well
    <section class="paper-table" tabIndex={0} aria-label={table.title ?? 'Table'}>
      <table>
        {table.title !== null && <caption>{table.title}</caption>}
        <thead>
          <tr>
            {table.columns.map((column) => (
              <th key={column.key} scope="col" data-kind={column.kind}>
                {pageHeading(column)}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {table.rows.map(({ id, cells }) => (
            <tr key={id}>
              {cells.map(({ text }, index) => (
                <td
                  key={table.columns[index]?.key ?? index}
                  dir="auto"
                  data-kind={kindAt(table.columns, index)}
                >
                  {text}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

function kindAt(columns: readonly PaperColumn[], index: number): PaperColumn['kind'] | undefined {
  return columns[index]?.kind;
}
