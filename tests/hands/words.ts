import { valueProblem } from '@plumbline/replica';
import { type ShootField, tables } from '@plumbline/shared';
import type { Page } from 'playwright-core';
import type { Role } from './stage.ts';

/** What people are honestly called and honestly write. Invented. */
export const HONEST = [
  'Anneliese-Wilhelmine Quastenflosser zu Überlingerhof-Dünengras',
  'Wasserradlagerschmiermittelvorratsbehälterdeckelschraube',
  'ليلى بنت يوسف عند طاحونة الماء القديمة 12 ب',
  '7 הטחנה הישנה ליד הנהר, קומה 3',
  '👩🏽‍🚒👨‍👩‍👧‍👦🏳️‍🌈 Szene 🎬',
  'A̷̧͓n̶̢͖n̴̰͒a e\u0301te\u0301 o\u0308',
  'WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW',
  "<b>“Quotes” & 'more' \\ {{x}}</b>",
] as const;

export interface TextField {
  readonly address: string;
  readonly table: string;
  readonly name: string;
  readonly field: ShootField;
  /** The departments that write it. */
  readonly roles: readonly Exclude<Role, 'producer'>[];
}

/** The record that stands for each table; tables whose words nobody types are left out by name. */
const RECORDS: Readonly<Record<string, string>> = {
  crew: 'crew1',
  shoot: 'shoot',
  places: 'loft',
  lightReadings: 'loft.l1',
  soundReadings: 'loft.s1',
  scenes: '1',
  setups: '1A',
  cameras: 'A',
  picture: '1A.A',
  recorders: 'R1',
  inputs: '1A.R1.1',
  takes: '1A.1',
  cards: 'C1',
  batteries: 'V1',
  kit: 'sound.boom',
  flags: 'f1',
  routine: 'camera.lenses',
  loads: 'loft.1',
};

/** Fields that hold what the app itself writes: names of files, ids, words that were read from elsewhere. */
const NOT_TYPED: ReadonlySet<string> = new Set([
  'people', // joined, tested apart
  'photos',
  'recordings',
  'asks',
  'checks',
  'accepted',
  'custody',
  'contested',
]);

/** Every field of words on the board, by the table of fields: whoever adds one has it tested. */
export function textFields(day: string): TextField[] {
  const found: TextField[] = [];
  for (const [table, { fields }] of Object.entries(tables)) {
    const every: readonly (readonly [string, ShootField])[] = Object.entries(fields);
    for (const [name, field] of every) {
      const isWords =
        field.control.kind === 'text' ||
        (field.control.kind === 'list' &&
          field.control.of === 'text' &&
          !field.control.table &&
          !field.control.options);
      const roles = (['director', 'camera', 'sound'] as const).filter((each) => field.writers.includes(each));
      if (!isWords || roles.length === 0 || NOT_TYPED.has(table)) continue;
      // a form that only figures or codes fit
      if (valueProblem(field, honestFor(field, 'abc')) !== null) continue;
      const record = table === 'days' ? day : RECORDS[table];
      if (record === undefined) throw new Error(`${table} has fields of words and no record to try them on`);
      // ids of other records are not words
      if (table === 'flags' && name === 'about') continue;
      found.push({
        address: `${table}/${record}/${name}`,
        table,
        name,
        field,
        roles,
      });
    }
  }
  return found;
}

const graphemes = new Intl.Segmenter('en', { granularity: 'grapheme' });

/** A text cut to what a field takes, between what people see as characters. */
export function honestFor(field: ShootField, text: string): string | string[] {
  const { control } = field;
  if (control.kind !== 'text') return [fitted(text.replace(/[,;]/g, ''), 40)];
  // one sign of some texts is longer than what a short field takes
  return fitted(text, control.maxLength) || 'ab';
}

export function fitted(text: string, most: number): string {
  let kept = '';
  for (const { segment } of graphemes.segment(text)) {
    if (kept.length + segment.length > most) break;
    kept += segment;
  }
  return kept.trim();
}

/**
 * What is wrong with how words stand on a page: out of the window, out of their box, cut where nothing shows the whole,
 * or in another order than they were written in.
 */
export function wrongWords(page: Page, within = 'body'): Promise<string[]> {
  return page.evaluate((within) => {
    const wrong = new Set<string>();
    const scrolls = (element: Element | null): boolean => {
      for (let each = element; each && each !== document.body; each = each.parentElement) {
        if (each.matches('main')) return false;
        const { overflowX } = getComputedStyle(each);
        if (overflowX === 'auto' || overflowX === 'scroll') return true;
      }
      return false;
    };
    const shown = (element: Element): boolean =>
      element.checkVisibility({ visibilityProperty: true }) &&
      // what is there for ears alone
      getComputedStyle(element).clipPath === 'none' &&
      !element.closest('.unseen, svg, [aria-hidden="true"]');
    const name = (element: Element): string =>
      `${element.className === '' ? `${element.parentElement?.className} > ` : ''}${element.tagName.toLowerCase()}.${element.className} “${(element.textContent ?? '').slice(0, 50)}”`;
    for (const element of document.querySelectorAll(`${within} *`)) {
      const own = [...element.childNodes].filter(
        (node) => node.nodeType === 3 && node.textContent?.trim() !== '',
      );
      if (own.length === 0 || !shown(element)) continue;
      const style = getComputedStyle(element);
      const range = document.createRange();
      for (const node of own) {
        range.selectNodeContents(node);
        const box = range.getBoundingClientRect();
        if (box.width === 0) continue;
        const cut = element.closest('.clip, [class*="clip"]');
        if (box.right > innerWidth + 1 && !scrolls(element) && !cut)
          wrong.add(`out of the window: ${name(element)}`);
        else if (
          style.display !== 'inline' &&
          style.overflowX === 'visible' &&
          box.right > element.getBoundingClientRect().right + 2 &&
          !scrolls(element)
        )
          wrong.add(`out of its box: ${name(element)}`);
      }
      if (
        style.display !== 'inline' &&
        element.scrollWidth > element.clientWidth + 2 &&
        element.clientWidth > 0
      ) {
        const hides = style.overflowX !== 'visible';
        const isRead =
          element.closest('[title], a[href], button, summary') !== null ||
          ['auto', 'scroll'].includes(style.overflowX);
        if (hides && !isRead) wrong.add(`cut: ${name(element)}`);
      }
    }
    // within lines that run from left to right, what is written later stands further right, unless it is all in one
    // right-to-left run
    const RTL = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff]/;
    const walker = document.createTreeWalker(
      document.querySelector(within) ?? document.body,
      NodeFilter.SHOW_TEXT,
    );
    const rect = (node: Node, from: number, to: number): DOMRect => {
      const range = document.createRange();
      range.setStart(node, from);
      range.setEnd(node, to);
      return range.getBoundingClientRect();
    };
    let before: { node: Node; box: DOMRect; block: Element } | null = null;
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const text = (node.textContent ?? '').replace(/\u2068.*\u2069/s, (apart) => '·'.repeat(apart.length));
      const parent = node.parentElement;
      if (!parent || text.trim() === '' || !shown(parent)) continue;
      let block: Element = parent;
      while (getComputedStyle(block).display.startsWith('inline') && block.parentElement)
        block = block.parentElement;
      const box = rect(node, 0, text.length);
      const isLine =
        getComputedStyle(block).direction === 'ltr' && getComputedStyle(block).display !== 'grid';
      if (
        before &&
        isLine &&
        before.block === block &&
        (RTL.test(text) || RTL.test(before.node.textContent ?? '')) &&
        Math.abs(before.box.top - box.top) < 4 &&
        Math.abs(before.box.height - box.height) < 12 &&
        box.left < before.box.left - 1
      )
        wrong.add(
          `out of order: “${before.node.textContent?.slice(-20)}” and “${text.slice(0, 20)}” in ${name(block)}`,
        );
      before = { node, box, block };
      // latin after right-to-left in one text: the figures that follow belong behind it
      if (!RTL.test(text) || getComputedStyle(parent).direction !== 'ltr') continue;
      const follows = /([\u0590-\u08ff])[^\u0590-\u08ffA-Za-z]*?([0-9]+)[^\u0590-\u08ff]*$/.exec(text);
      const first = text.search(RTL);
      const leads = /[A-Za-z]/.test(text.slice(0, first));
      if (follows?.index !== undefined && leads) {
        const digits = text.lastIndexOf(follows[2] ?? '');
        const [a, b] = [rect(node, first, first + 1), rect(node, digits, digits + 1)];
        if (Math.abs(a.top - b.top) < 4 && b.right < a.left)
          wrong.add(`a figure out of order: “${text.slice(0, 60)}” in ${name(parent)}`);
      }
    }
    return [...wrong];
  }, within);
}
