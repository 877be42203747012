import { fileURLToPath } from 'node:url';

/**
 * What a later version may do without a new number: it adds fields to what goes over the bus and into the engine. Where
 * in the program each is written, and what the later version writes there.
 */
const ADDITIONS = [
  [
    'cluster/fleet/messages.js',
    'JSON.stringify(message)',
    'JSON.stringify({ ...message, later: { is: [1] } })',
  ],
  ['cluster/log/envelope.js', 'JSON.stringify(head)', 'JSON.stringify({ ...head, later: { is: [1] } })'],
  ['cluster/log/meta.js', 'JSON.stringify({ v: 1, ', 'JSON.stringify({ v: 1, later: { is: [1] }, '],
  [
    'cluster/accounts/message.js',
    'JSON.stringify({ v: VERSION, ',
    'JSON.stringify({ v: VERSION, later: { is: [1] }, ',
  ],
];

/** @type {import('node:module').LoadHook} */
export async function load(url, context, nextLoad) {
  const loaded = await nextLoad(url, context);
  const addition = url.startsWith('file:') && ADDITIONS.find(([file]) => fileURLToPath(url).endsWith(file));
  if (!addition) return loaded;
  const [file, now, later] = addition;
  const source = String(loaded.source);
  if (!source.includes(now)) throw new Error(`${file} has no ${now}`);
  return { ...loaded, source: source.replaceAll(now, later) };
}
