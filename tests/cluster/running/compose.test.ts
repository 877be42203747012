import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseEnv } from 'node:util';
import { describe, expect, it } from 'vitest';
import { readSettings, settingsHelp } from '../../../apps/base/src/settings.ts';
import { folderOfTest } from '../../backup/filled.ts';
import { NATS_SERVER, NEEDS_NATS } from '../../support/nats.ts';

const FOLDER = fileURLToPath(new URL('../../../apps/base/compose/', import.meta.url));
const read = (name: string): string => readFileSync(join(FOLDER, name), 'utf8');

describe('the fleet to look at', () => {
  it('its nodes are started with settings that the program has, and with no risk taken', () => {
    const environment = Object.entries(parseEnv(read('fleet.env')));
    const known = settingsHelp();
    for (const [name] of environment) expect(known).toContain(`  ${name} `);
    for (const [, name = ''] of read('fleet.env').matchAll(/^# (PLUMBLINE_\w+)=/gm))
      expect(known).toContain(`  ${name} `);
    const secret = join(folderOfTest(), 'password');
    writeFileSync(secret, 'secret\n');
    const { cluster, proxies } = readSettings({
      ...Object.fromEntries(environment),
      PLUMBLINE_CLUSTER_PASSWORD_FILE: secret,
    });
    expect(cluster).toMatchObject({
      user: 'plumbline',
      password: 'secret',
      replicas: 3,
      acceptsRisks: false,
    });
    expect(cluster?.servers).toHaveLength(3);
    expect(cluster?.monitoring).toHaveLength(3);
    // the load balancer’s network, as the file of services gives it
    for (const proxy of proxies) expect(read('compose.yaml')).toContain(`subnet: ${proxy}`);
    for (const server of cluster?.servers ?? []) {
      const { hostname } = new URL(server);
      expect(read('compose.yaml')).toContain(`\n  ${hostname}:\n`);
      expect(read('nats.conf')).toContain(`nats://${hostname}:6222`);
    }
  });

  it.skipIf(NATS_SERVER === null)(`the servers’ settings are ones that a server takes${NEEDS_NATS}`, () => {
    expect(read('nats.conf')).toMatch(/^ {2}sync_interval: always$/m);
    const root = folderOfTest();
    mkdirSync(join(root, 'etc/nats'), { recursive: true });
    mkdirSync(join(root, 'run/secrets'), { recursive: true });
    // as FLEET.md has it made
    writeFileSync(
      join(root, 'run/secrets/nats-users'),
      'authorization { user: plumbline, password: "0a1b2c" }\n',
    );
    const check = (text: string): string => {
      const path = join(root, 'etc/nats/nats.conf');
      writeFileSync(path, text.replace('"/data"', JSON.stringify(join(root, 'data'))));
      const command = ['-t', '-c', path];
      const told = execFileSync('sh', ['-c', '"$@" 2>&1 || true', 'sh', NATS_SERVER ?? '', ...command], {
        env: { SERVER_NAME: 'nats-1' },
        encoding: 'utf8',
      });
      return told;
    };
    const told = check(read('nats.conf'));
    // before 2.11 a server does not know this one; whatever else is wrong is wrong
    if (told.includes('unknown field "sync_interval"')) {
      expect(check(read('nats.conf').replace(/^ {2}sync_interval: always$/m, ''))).toContain('is valid');
    } else expect(told).toContain('is valid');
  });
});
