import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { hostname } from 'node:os';
import { join, resolve } from 'node:path';
import { covers, type Issued, issueCertificate, makeAuthority, readAuthority } from '../certificate.ts';
import { DataFolder } from '../dataFolder.ts';
import type { Settings } from '../settings.ts';
import { CommandError } from './commandError.ts';
import { lanAddress } from './places.ts';

/** The most that iPadOS takes (Apple, HT210176). */
const MOST_DAYS = 825;

/** Where the files are that `certificate` made. */
export interface CertificateFiles {
  /** To be installed on the tablets, once. */
  readonly authority: string;
  readonly cert: string;
  readonly key: string;
  readonly names: readonly string[];
  /** This machine's own names that the authority was not made for. */
  readonly leftOut: readonly string[];
  /** ms since 1970. */
  readonly until: number;
}

/** Makes what is missing and a fresh certificate. @throws CommandError */
export async function makeCertificate(
  settings: Settings,
  options: { readonly name?: readonly string[]; readonly days: string },
): Promise<CertificateFiles> {
  const days = Number(options.days);
  if (!Number.isInteger(days) || days < 1 || days > MOST_DAYS) {
    throw new CommandError(`--days is a whole number from 1 to ${MOST_DAYS}.`);
  }
  const wanted = options.name ?? ownNames();
  const wrong = wanted.find((name) => !/^[A-Za-z0-9.:-]{1,253}$/.test(name));
  if (wrong !== undefined) throw new CommandError(`${wrong} is neither a name nor an address.`);
  const folder = join(resolve(new DataFolder(settings.dataFolder).path), 'certificates');
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const path = (name: string): string => join(folder, name);
  const now = Date.now();
  const isKnown = existsSync(path('authority-key.pem'));
  const authority = isKnown
    ? await readAuthority(
        readFileSync(path('authority.crt'), 'utf8'),
        readFileSync(path('authority-key.pem'), 'utf8'),
      )
    : await makeAuthority(`Plumbline ${hostname()}`, wanted, now);
  const leftOut = wanted.filter((name) => !covers(authority, name));
  const names = wanted.filter((name) => !leftOut.includes(name));
  const [beyond] = leftOut;
  // What a person asks for is refused; what this machine happens to be called today is left out and told.
  if (beyond !== undefined && options.name) {
    throw new CommandError(
      `The authority in ${folder} may not vouch for ${beyond}. Move that folder away to make another, and bring that to the tablets.`,
    );
  }
  if (!isKnown) {
    writeFileSync(path('authority.crt'), authority.cert, { mode: 0o644 });
    writeFileSync(path('authority-key.pem'), authority.key, { mode: 0o600 });
  }
  const issued: Issued = await issueCertificate(authority, names, days, now);
  writeFileSync(path('base.crt'), issued.cert, { mode: 0o644 });
  writeFileSync(path('base-key.pem'), issued.key, { mode: 0o600 });
  return {
    authority: path('authority.crt'),
    cert: path('base.crt'),
    key: path('base-key.pem'),
    names,
    leftOut,
    until: issued.until,
  };
}

function ownNames(): string[] {
  const host = hostname().replace(/\.local$/, '');
  const lan = lanAddress();
  return [...new Set([`${host}.local`, host, 'localhost', '127.0.0.1', ...(lan ? [lan] : [])])];
}

/** What to do next, for people. */
export function certificateWords({ authority, cert, key, names, leftOut, until }: CertificateFiles): string {
  return [
    `For ${names.join(', ')}, good until ${new Date(until).toISOString().slice(0, 10)}.`,
    ...(leftOut.length > 0
      ? [
          `Not for ${leftOut.join(', ')}: the authority was not made for that. To have it too, move the folder of ${authority} away, make another, and bring that to the tablets.`,
        ]
      : []),
    '',
    'Start the base with:',
    `  PLUMBLINE_HOST=0.0.0.0 PLUMBLINE_TLS_CERT=${cert} PLUMBLINE_TLS_KEY=${key} npm start`,
    '',
    `Install ${authority} on each tablet once (apps/base/README.md says how).`,
    'It vouches for local names and addresses, and for those above, alone. Its key, authority-key.pem, stays on this machine all the same.',
  ].join('\n');
}
