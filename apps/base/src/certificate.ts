import 'reflect-metadata';
import { webcrypto } from 'node:crypto';
import { isIP } from 'node:net';
import * as x509 from '@peculiar/x509';
import { areWithin, encodeLimits, limitsFor } from './nameLimits.ts';

const DAY_MS = 24 * 60 * 60 * 1000;
const AUTHORITY_DAYS = 3650;
/** A machine whose clock is a little behind must not find the certificate not yet good. */
const BACKDATED_MS = DAY_MS;

const ALGORITHM = { name: 'ECDSA', namedCurve: 'P-256', hash: 'SHA-256' } as const;

/** A certificate and its key, PEM. */
export interface Issued {
  readonly cert: string;
  readonly key: string;
  /** ms since 1970. */
  readonly until: number;
}

/** What signs the certificates of one base. */
export interface Authority {
  readonly cert: string;
  readonly key: string;
  readonly certificate: x509.X509Certificate;
  readonly signingKey: webcrypto.CryptoKey;
}

const NAME_CONSTRAINTS = '2.5.29.30';

/**
 * Makes an authority that can sign servers' certificates and no other authority's, and for nothing but a local network
 * and the names that are wanted now: a tablet that trusts it goes on trusting nobody new on the internet.
 */
export async function makeAuthority(
  name: string,
  wanted: readonly string[],
  now: number,
): Promise<Authority> {
  const keys = await newKeys();
  const certificate = await x509.X509CertificateGenerator.createSelfSigned({
    name: [{ CN: [name] }],
    keys,
    signingAlgorithm: ALGORITHM,
    notBefore: new Date(now - BACKDATED_MS),
    notAfter: new Date(now + AUTHORITY_DAYS * DAY_MS),
    extensions: [
      new x509.BasicConstraintsExtension(true, 0, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.keyCertSign | x509.KeyUsageFlags.cRLSign, true),
      new x509.Extension(NAME_CONSTRAINTS, true, encodeLimits(limitsFor(wanted))),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
    ],
  });
  return {
    cert: certificate.toString('pem'),
    key: await keyText(keys.privateKey),
    certificate,
    signingKey: keys.privateKey,
  };
}

/** Reads an authority back. */
export async function readAuthority(cert: string, key: string): Promise<Authority> {
  const signingKey = await webcrypto.subtle.importKey(
    'pkcs8',
    x509.PemConverter.decodeFirst(key),
    ALGORITHM,
    false,
    ['sign'],
  );
  return { cert, key, certificate: new x509.X509Certificate(cert), signingKey };
}

/** Whether an authority may vouch for a name or an address; an early one, without limits, may for all. */
export function covers({ certificate }: Authority, name: string): boolean {
  const limits = certificate.extensions.find(({ type }) => type === NAME_CONSTRAINTS);
  return limits === undefined || areWithin(new Uint8Array(limits.value), name);
}

/**
 * Issues a certificate for a server, in the form that tablets ask for: its names and addresses as alternative names,
 * for server authentication, good for at most 825 days (Apple, HT210176).
 */
export async function issueCertificate(
  { certificate, signingKey }: Authority,
  names: readonly string[],
  days: number,
  now: number,
): Promise<Issued> {
  const keys = await newKeys();
  const until = Math.min(now - BACKDATED_MS + days * DAY_MS, certificate.notAfter.getTime());
  const leaf = await x509.X509CertificateGenerator.create({
    // No name or address here: where no alternative name is a DNS name, OpenSSL holds this one against the limits too.
    subject: [{ CN: ['Plumbline'] }],
    issuer: certificate.subjectName,
    publicKey: keys.publicKey,
    signingKey,
    signingAlgorithm: ALGORITHM,
    notBefore: new Date(now - BACKDATED_MS),
    notAfter: new Date(until),
    extensions: [
      new x509.BasicConstraintsExtension(false, undefined, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.digitalSignature, true),
      new x509.ExtendedKeyUsageExtension([x509.ExtendedKeyUsage.serverAuth]),
      new x509.SubjectAlternativeNameExtension(
        names.map((value) => ({ type: isIP(value) ? ('ip' as const) : ('dns' as const), value })),
      ),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
      await x509.AuthorityKeyIdentifierExtension.create(certificate),
    ],
  });
  return { cert: leaf.toString('pem'), key: await keyText(keys.privateKey), until };
}

function newKeys(): Promise<webcrypto.CryptoKeyPair> {
  return webcrypto.subtle.generateKey(ALGORITHM, true, ['sign', 'verify']);
}

async function keyText(key: webcrypto.CryptoKey): Promise<string> {
  return x509.PemConverter.encode(await webcrypto.subtle.exportKey('pkcs8', key), 'PRIVATE KEY');
}
