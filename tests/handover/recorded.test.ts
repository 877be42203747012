import { createHash } from 'node:crypto';
import { recordedSums } from '@plumbline/shared/handover';
import { describe, expect, it } from 'vitest';
import { shootReader } from '../support/shoot.ts';

const md5 = (text: string): string => createHash('md5').update(text).digest('hex');

describe('checksums of the recorded files as a plain list', () => {
  const recordings = {
    'p-0000000000000002': { name: 'B002.mov', bytes: 3, checksums: [{ kind: 'md5', value: md5('two') }] },
    'p-0000000000000001': {
      name: 'A001.mov',
      bytes: 3,
      checksums: [
        { kind: 'md5', value: md5('one') },
        { kind: 'xxh64', value: '0123456789abcdef' },
      ],
    },
    's-0000000000000003': { name: 'no sum.wav', bytes: 3 },
    's-0000000000000004': { name: 'kind only.wav', bytes: 3, checksums: [{ kind: 'md5' }] },
    's-0000000000000005': { name: '../out.wav', bytes: 3, checksums: [{ kind: 'md5', value: md5('out') }] },
    's-0000000000000006': {
      name: 'gone.wav',
      bytes: 3,
      checksums: [{ kind: 'md5', value: md5('gone') }],
      retired: true,
    },
  };

  // the form is that of GNU coreutils, "md5sum invocation": checksum, two spaces, name
  it('has a line for each file that has one, by name, in the form of md5sum', () => {
    expect(recordedSums(shootReader({ recordings }), 'md5')).toBe(
      `${md5('one')}  A001.mov\n${md5('two')}  B002.mov\n`,
    );
    expect(recordedSums(shootReader({ recordings }), 'xxh64')).toBe('0123456789abcdef  A001.mov\n');
  });

  it('is none where no file has one of that kind', () => {
    expect(recordedSums(shootReader({ recordings }), 'sha256')).toBeNull();
    expect(recordedSums(shootReader({}), 'md5')).toBeNull();
  });
});
