import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readSettings, SettingsError, settingsHelp } from '../../../apps/base/src/settings.ts';
import { folderOfTest } from '../../backup/filled.ts';

const FLEET = { PLUMBLINE_CLUSTER: 'nats://a:4222, tls://b:4222' };

describe('settings of a fleet', () => {
  it('a base by itself has none, one that names servers has those and what usually holds', () => {
    expect(readSettings({}).cluster).toBeUndefined();
    expect(readSettings(FLEET).cluster).toEqual({
      servers: ['nats://a:4222', 'tls://b:4222'],
      prefix: 'plumbline',
      credentials: undefined,
      user: undefined,
      password: undefined,
      tls: undefined,
      monitoring: [],
      replicas: 3,
      shards: 4,
      acceptsRisks: false,
      limits: { boards: 2000, delayMs: 250, memoryMegabytes: 1500 },
    });
  });

  it('files for who this node is and whom it trusts are read', () => {
    const folder = folderOfTest();
    const file = (name: string, text: string): string => {
      const path = join(folder, name);
      writeFileSync(path, text);
      return path;
    };
    const { cluster } = readSettings({
      ...FLEET,
      PLUMBLINE_CLUSTER_USER: 'node',
      PLUMBLINE_CLUSTER_PASSWORD_FILE: file('password', 'secret\n'),
      PLUMBLINE_CLUSTER_CREDENTIALS: file('creds', 'text'),
      PLUMBLINE_CLUSTER_CA: file('ca', 'pem'),
      PLUMBLINE_CLUSTER_CERT: file('cert', 'pem'),
      PLUMBLINE_CLUSTER_KEY: file('key', 'pem'),
      PLUMBLINE_CLUSTER_MONITORING: 'http://a:8222,http://b:8222',
      PLUMBLINE_CLUSTER_REPLICAS: '1',
      PLUMBLINE_CLUSTER_RISKS: 'accept',
      PLUMBLINE_MOST_BOARDS: '20',
    });
    expect(cluster).toMatchObject({
      user: 'node',
      password: 'secret',
      tls: { caFile: join(folder, 'ca'), certFile: join(folder, 'cert'), keyFile: join(folder, 'key') },
      monitoring: ['http://a:8222', 'http://b:8222'],
      replicas: 1,
      acceptsRisks: true,
      limits: { boards: 20 },
    });
    expect(Buffer.from(cluster?.credentials ?? []).toString()).toBe('text');
  });

  const refused: readonly [string, Readonly<Record<string, string>>, RegExp][] = [
    ['no server', { PLUMBLINE_CLUSTER: ',' }, /PLUMBLINE_CLUSTER: .*nats:/],
    ['a server that is none', { PLUMBLINE_CLUSTER: 'http://a:1' }, /PLUMBLINE_CLUSTER: .*nats:/],
    ['a user without a password', { PLUMBLINE_CLUSTER_USER: 'a' }, /PASSWORD_FILE are set together/],
    ['a certificate without a key', { PLUMBLINE_CLUSTER_CERT: '/nowhere' }, /KEY are set together/],
    ['a file that is not there', { PLUMBLINE_CLUSTER_CA: '/nowhere/ca' }, /PLUMBLINE_CLUSTER_CA: .*ENOENT/],
    [
      'credentials that are not there',
      { PLUMBLINE_CLUSTER_CREDENTIALS: '/nowhere/c' },
      /CREDENTIALS: .*ENOENT/,
    ],
    ['two copies', { PLUMBLINE_CLUSTER_REPLICAS: '2' }, /PLUMBLINE_CLUSTER_REPLICAS/],
    ['a prefix with a dot', { PLUMBLINE_CLUSTER_PREFIX: 'a.b' }, /PLUMBLINE_CLUSTER_PREFIX: small letters/],
    ['half a risk', { PLUMBLINE_CLUSTER_RISKS: 'maybe' }, /PLUMBLINE_CLUSTER_RISKS/],
    ['monitoring over nats', { PLUMBLINE_CLUSTER_MONITORING: 'nats://a:4222' }, /MONITORING: .*http:/],
  ];
  it.each(refused)('%s is refused by name', (_, wrong, sentence) => {
    expect(() => readSettings({ ...FLEET, ...wrong })).toThrow(sentence);
    expect(() => readSettings({ ...FLEET, ...wrong })).toThrow(SettingsError);
  });

  it('all of them stand in the help', () => {
    for (const name of ['', '_CREDENTIALS', '_CA', '_MONITORING', '_REPLICAS', '_RISKS'])
      expect(settingsHelp()).toContain(`PLUMBLINE_CLUSTER${name} `);
    expect(settingsHelp()).toContain('PLUMBLINE_MOST_BOARDS');
  });
});
