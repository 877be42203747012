import { X509Certificate } from 'node:crypto';
import { readFileSync, statSync } from 'node:fs';
import { hostname } from 'node:os';
import { connect, createServer } from 'node:tls';
import { expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { issueCertificate, makeAuthority } from '../../apps/base/src/certificate.ts';
import { temporaryFolder } from '../support/base.ts';
import { runCli, startBaseProcess } from '../support/process.ts';

const filesSchema = z.object({
  authority: z.string(),
  cert: z.string(),
  key: z.string(),
  names: z.array(z.string()),
  leftOut: z.array(z.string()),
  until: z.number(),
});

const DAY_MS = 86_400_000;

function folderOfTest(): string {
  const folder = temporaryFolder();
  onTestFinished(folder.remove);
  return folder.path;
}

it('a certificate is made in the form that tablets ask for, and OpenSSL accepts the base by name and by address', async () => {
  const data = folderOfTest();
  const environment = { PLUMBLINE_DATA: data };
  const made = await runCli(
    ['certificate', '--json', '--name', 'base.local', '127.0.0.1', '192.168.4.20'],
    environment,
  );
  expect({ code: made.code, err: made.err }).toEqual({ code: 0, err: '' });
  const files = filesSchema.parse(JSON.parse(made.out));
  const leaf = new X509Certificate(readFileSync(files.cert));
  const authority = new X509Certificate(readFileSync(files.authority));
  expect(authority.ca).toBe(true);
  expect(leaf.ca).toBe(false);
  expect(leaf.checkIssued(authority)).toBe(true);
  expect(leaf.verify(authority.publicKey)).toBe(true);
  // Apple, "Requirements for trusted certificates in iOS 13 and macOS 10.15" (HT210176).
  expect(leaf.keyUsage).toEqual(['1.3.6.1.5.5.7.3.1']);
  expect(leaf.subjectAltName).toBe('DNS:base.local, IP Address:127.0.0.1, IP Address:192.168.4.20');
  const days = (Date.parse(leaf.validTo) - Date.parse(leaf.validFrom)) / DAY_MS;
  expect(days).toBeLessThanOrEqual(825);
  expect(statSync(files.key).mode & 0o077).toBe(0);

  const base = await startBaseProcess(data, { PLUMBLINE_TLS_CERT: files.cert, PLUMBLINE_TLS_KEY: files.key });
  onTestFinished(async () => void (await base.end('SIGKILL')));
  const trusted = (servername: string, ca: string | undefined) =>
    new Promise<string>((resolve) => {
      const socket = connect({ host: '127.0.0.1', port: base.port, servername, ...(ca && { ca }) });
      socket.once('secureConnect', () => {
        socket.destroy();
        resolve('trusted');
      });
      socket.once('error', (error: NodeJS.ErrnoException) => resolve(error.code ?? ''));
    });
  const ca = readFileSync(files.authority, 'utf8');
  expect(await trusted('base.local', ca)).toBe('trusted');
  expect(await trusted('other.local', ca)).toBe('ERR_TLS_CERT_ALTNAME_INVALID');
  expect(await trusted('base.local', undefined)).not.toBe('trusted');

  // Once more: another certificate by the same authority, so that no tablet has to be touched.
  const again = filesSchema.parse(JSON.parse((await runCli(['certificate', '--json'], environment)).out));
  expect(readFileSync(again.authority, 'utf8')).toBe(ca);
  const renewed = new X509Certificate(readFileSync(again.cert));
  expect(renewed.serialNumber).not.toBe(leaf.serialNumber);
  expect(renewed.verify(authority.publicKey)).toBe(true);
  expect(again.names).toContain('localhost');
  // The machine's own bare name is none of a local network, and the authority was made for others.
  const bare = hostname().replace(/\.local$/, '');
  expect(bare.includes('.') || again.leftOut.includes(bare)).toBe(true);
  const vouched = again.names.map((name) => renewed.checkHost(name) ?? renewed.checkIP(name));
  expect(vouched).toEqual(again.names);
});

it('the authority vouches for a local network and what it was made for, and OpenSSL believes it nothing else', async () => {
  const now = Date.now();
  const authority = await makeAuthority('Test', ['base.example.org', '203.0.113.7'], now);
  // A name under each limit and one beside it; RFC 5280, 4.2.1.10.
  const judged = async (name: string): Promise<string> => {
    const { cert, key } = await issueCertificate(authority, [name], 30, now);
    const server = createServer({ cert, key });
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    const address = server.address();
    const port = typeof address === 'object' && address ? address.port : 0;
    const verdict = await new Promise<string>((resolve) => {
      const socket = connect({
        host: '127.0.0.1',
        port,
        ca: authority.cert,
        checkServerIdentity: () => undefined,
      });
      socket.once('secureConnect', () => resolve('trusted'));
      socket.once('error', (error: NodeJS.ErrnoException) => resolve(error.code ?? ''));
      socket.once('close', () => server.close());
      socket.once('secureConnect', () => socket.destroy());
    });
    server.close();
    return verdict;
  };
  const trusted = [
    'base.local',
    'localhost',
    'base.example.org',
    '192.168.4.20',
    '10.1.2.3',
    '172.31.0.1',
    '203.0.113.7',
    'fd00::1',
  ];
  const refused = ['example.org', 'bank.example.com', 'notlocal', '203.0.113.8', '172.32.0.1', '2001:db8::1'];
  for (const name of trusted) expect([name, await judged(name)]).toEqual([name, 'trusted']);
  for (const name of refused) expect([name, await judged(name)]).not.toEqual([name, 'trusted']);
});

it('a name that the authority may not vouch for is told, and nothing is written', async () => {
  const environment = { PLUMBLINE_DATA: folderOfTest() };
  expect((await runCli(['certificate', '--json', '--name', 'base.local'], environment)).code).toBe(0);
  const { code, err } = await runCli(['certificate', '--name', 'bank.example.com'], environment);
  expect(code).toBe(1);
  expect(err).toContain('may not vouch for bank.example.com');
});

it.each([['0'], ['826'], ['x']])('%s days are refused', async (days) => {
  const { code, err } = await runCli(['certificate', '--days', days], { PLUMBLINE_DATA: folderOfTest() });
  expect(code).toBe(1);
  expect(err).toContain('825');
});
