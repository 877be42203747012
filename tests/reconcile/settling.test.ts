import {
  agrees,
  codingIn,
  copyVerdict,
  differencesOf,
  type FileSum,
  noteFile,
  putTo,
  type RecordedFile,
  type RecordingFacts,
  reconcile,
  recordingId,
  recordingsByTake,
  sameCoding,
  settle,
  shortHash,
  slotsOf,
  tallyOf,
} from '@plumbline/shared/reconcile';
import { describe, expect, it } from 'vitest';
import { shootReader } from '../support/shoot.ts';
import { dayOf, fileOf, type Shot, shotFacts, soundFacts } from './board.ts';
import { applyEdit } from './edits.ts';

const SHOT: Shot = { setup: '4a', number: 2, at: 100, seconds: 60 };
const NOTICED = { at: 1_900_000_000_000, by: 'camera' };

/** Fields in which a camera's file differs. */
function differing(facts: Partial<RecordingFacts>, more: Shot['more'] = {}): string[] {
  const board = dayOf(
    [{ ...SHOT, more: { clip: 'A001C001', timecodeIn: '09:01:40:00', timecodeOut: '09:02:40:00', ...more } }],
    ['A'],
  );
  const file = fileOf('A-01/A001C001.mov', 'picture', { ...shotFacts(SHOT), ...facts });
  const reader = shootReader(board);
  const slot = slotsOf(reader).find(({ id }) => id === '4a.2/A');
  if (!slot) throw new Error('there is no such take');
  return differencesOf(reader, slot, file).map(({ field }) => field);
}

describe('a camera’s file against the take as it was shot', () => {
  it('that agrees has no difference', () => expect(differing({})).toEqual([]));

  it.each<[string, Partial<RecordingFacts>, readonly string[]]>([
    ['another rate of the same family', { frameRate: '24', frameRateExact: '24/1' }, ['frameRate']],
    ['a raster', { widthPx: 3840, heightPx: 2160 }, ['raster']],
    ['fields for frames', { scan: 'interlaced' }, ['scan']],
    ['another coding', { codec: 'H.264' }, ['codec']],
    ['another kind of the same coding', { codec: 'ProRes 422 LT' }, ['codec']],
    ['chroma', { chroma: '420' }, ['chroma']],
    ['bits', { bitDepth: 8 }, ['bitDepth']],
    ['3 s of length are let pass', { durationSeconds: 63 }, []],
    ['more than 3 s and 5 % are not', { durationSeconds: 63.1 }, ['duration']],
    ['a frame of timecode is let pass', { timecodeIn: '09:01:40:01', timecodeOut: '09:02:40:01' }, []],
    ['two frames are not', { timecodeIn: '09:01:40:02' }, ['timecodeIn']],
    ['timecode of another rate', { timecodeRate: '24/1', timecodeIn: '09:01:40:00' }, ['timecodeRate']],
    ['drop-frame', { timecodeRate: '30000/1001', dropFrame: true }, ['timecodeRate', 'dropFrame']],
  ])('%s', (_, facts, fields) => {
    expect(differing(facts)).toEqual(fields);
  });

  it('the exact rate counts, not how it is written', () => {
    const picture = (frameRate: string) => ({ asShotPicture: { A: { frameRate } } });
    for (const written of ['23.976', '23.98', '24000/1001']) {
      expect(differing({ frameRate: '23.976', frameRateExact: '24000/1001' }, picture(written))).toEqual([]);
    }
    expect(differing({ frameRate: '23.976', frameRateExact: '24000/1001' }, picture('24'))).toEqual([
      'frameRate',
    ]);
  });

  it('shot for high speed it plays at the shoot’s rate, and longer', () => {
    const asShotPicture = { A: { frameRate: '100', plannedSpeed: 'high' } };
    expect(differing({ durationSeconds: 240 }, { asShotPicture })).toEqual([]);
    expect(differing({ frameRate: '50', frameRateExact: '50/1' }, { asShotPicture })).toEqual(['frameRate']);
  });

  it('words on the board that name no coding are not compared', () => {
    expect(differing({ codec: 'H.264' }, { asShotPicture: { A: { codec: 'intra-frame' } } })).toEqual([]);
  });

  it('codings are the same by whatever name', () => {
    // ITU-T H.264 is ISO/IEC 14496-10, "Advanced Video Coding"; H.265 is ISO/IEC 23008-2, "HEVC"; SMPTE ST 2019-1 is VC-3
    expect(sameCoding('AVC intra', 'H.264')).toBe(true);
    expect(sameCoding('hevc 10 bit', 'H.265')).toBe(true);
    expect(sameCoding('DNxHD', 'VC-3')).toBe(true);
    expect(sameCoding('ProRes', 'ProRes 422 HQ')).toBe(true);
    expect(sameCoding('ProRes 422', 'ProRes 422 HQ')).toBe(false);
    expect(sameCoding('something', 'H.264')).toBeNull();
    expect(codingIn('prores 4444 xq')).toBe('ProRes 4444 XQ');
  });
});

describe('a recorder’s file against the recorder', () => {
  const board = dayOf([SHOT]);
  const fields = (facts: Partial<RecordingFacts>): string[] => {
    const file = fileOf('S-01/4A-T002.wav', 'sound', { ...soundFacts(SHOT), ...facts });
    const { matched } = reconcile(shootReader(board), [file]);
    return (
      matched[0]?.differences.filter(({ board: says }) => says !== null).map(({ field }) => field) ?? ['none']
    );
  };

  it('two armed channels fit two tracks, a mix before them, or all that the recorder has', () => {
    for (const channels of [2, 3, 4, 8]) {
      expect(fields({ audio: { channels, sampleRateHz: 48_000, bitDepth: 24 } })).toEqual([]);
    }
    for (const channels of [1, 5, 7, 9]) {
      expect(fields({ audio: { channels, sampleRateHz: 48_000, bitDepth: 24 } })).toEqual(['channels']);
    }
  });

  it('sample rate, bit depth, timecode rate', () => {
    expect(fields({ audio: { channels: 4, sampleRateHz: 44_100, bitDepth: 16 } })).toEqual([
      'sampleRate',
      'soundBitDepth',
    ]);
    expect(fields({ timecodeRate: '24000/1001' })).toEqual(['timecodeRate']);
  });

  it('without a rate of its own its labels are counted at the recorder’s', () => {
    const { timecodeIn: _, timecodeOut: __, timecodeRate: ___, dropFrame: ____, ...bare } = soundFacts(SHOT);
    const { matched } = reconcile(shootReader(board), [fileOf('S-01/4A-T002.wav', 'sound', bare)]);
    const found = matched[0]?.differences.find(({ field }) => field === 'timecodeIn');
    // 09:01:40 after midnight, at 25 frames/s
    expect(found?.file).toBe('09:01:40:00');
  });
});

describe('one word is taken at a time', () => {
  const file = fileOf('A-01/A001C009.mov', 'picture', {
    ...shotFacts(SHOT),
    codec: 'H.264',
    frameRate: '24',
    frameRateExact: '24/1',
  });
  const board = () => dayOf([SHOT], ['A']);

  it('the file’s word for a setting is kept with the file, and the take as shot stays as it is', () => {
    const edits = applyEdit(board(), 'camera');
    const [matched] = reconcile(edits.reader(), [file]).matched;
    if (!matched) throw new Error('no take');
    expect(tallyOf(reconcile(edits.reader(), [file])).differences).toBe(2);
    edits.set(settle(edits.reader(), matched, 'codec', 'file', NOTICED));
    const after = reconcile(edits.reader(), [file]);
    expect(after.matched[0]?.differences.find(({ field }) => field === 'codec')?.settled).toBe('file');
    expect(tallyOf(after).differences).toBe(1);
    expect(edits.reader().value('takes', '4a.2', 'asShotPicture')).toMatchObject({
      A: { codec: 'ProRes 422 HQ' },
    });
    const [again] = after.matched;
    if (again) edits.set(settle(edits.reader(), again, 'frameRate', 'board', NOTICED));
    expect(edits.reader().value('recordings', recordingId(file), 'settled')).toEqual({
      codec: 'file',
      frameRate: 'board',
    });
    const kept = recordingsByTake(edits.reader()).get('4a.2');
    expect(kept?.map(({ name, device, byFile }) => [name, device, byFile])).toEqual([
      ['A001C009.mov', 'A', ['codec']],
    ]);
    expect(kept?.[0]?.facts?.frameRateExact).toBe('24/1');
  });

  it('clip and timecode of the take are set in the same edit', () => {
    const edits = applyEdit(board(), 'camera');
    for (const field of ['clip', 'timecodeIn', 'timecodeOut'] as const) {
      const [matched] = reconcile(edits.reader(), [file]).matched;
      if (matched) edits.set(settle(edits.reader(), matched, field, 'file', NOTICED));
    }
    expect(edits.reader().view('takes', '4a.2')).toMatchObject({
      clip: 'A001C009',
      timecodeIn: '09:01:40:00',
      timecodeOut: '09:02:40:00',
    });
  });

  it('two cameras’ clips stand side by side', () => {
    const edits = applyEdit(dayOf([{ ...SHOT, more: { clip: 'A001C009' } }]), 'camera');
    const other = fileOf('B-01/B001C004.mov', 'picture', shotFacts(SHOT));
    const { matched } = reconcile(edits.reader(), [file, other]);
    const mine = matched.find(({ slot }) => slot.device === 'B');
    if (mine) edits.set(settle(edits.reader(), mine, 'clip', 'file', NOTICED));
    expect(edits.reader().value('takes', '4a.2', 'clip')).toBe('A001C009, B001C004');
    expect(
      reconcile(edits.reader(), [other]).matched[0]?.differences.map(({ field }) => field),
    ).not.toContain('clip');
  });

  it('the base lets camera and sound each settle its own files, the director both, and signs for nobody else', () => {
    const sound = fileOf('S-01/4A-T002.wav', 'sound', soundFacts(SHOT));
    const outcome = (who: 'camera' | 'sound' | 'director', of: RecordedFile, by: string) => {
      const edits = applyEdit(dayOf([SHOT]), who);
      return edits.decide(noteFile(edits.reader(), { file: of }, { at: NOTICED.at, by }));
    };
    expect(outcome('camera', file, 'camera')).toBe('stored');
    expect(outcome('camera', sound, 'camera')).toBe('refused');
    expect(outcome('sound', sound, 'sound')).toBe('stored');
    expect(outcome('sound', file, 'sound')).toBe('refused');
    expect(outcome('director', file, 'director')).toBe('stored');
    expect(outcome('director', sound, 'director')).toBe('stored');
    expect(outcome('camera', file, 'director')).toBe('refused');
  });

  it('put to another take, it stays there, and what was settled against the first is open again', () => {
    const shots = [SHOT, { ...SHOT, number: 3, at: 400 }];
    const edits = applyEdit(dayOf(shots, ['A']), 'camera');
    const [matched] = reconcile(edits.reader(), [file]).matched;
    if (matched) edits.set(settle(edits.reader(), matched, 'codec', 'file', NOTICED));
    const third = slotsOf(edits.reader()).find(({ id }) => id === '4a.3/A');
    if (third) edits.set(putTo(edits.reader(), { file, slot: third }, NOTICED));
    const [now] = reconcile(edits.reader(), [file]).matched;
    expect([now?.slot.id, now?.isSure]).toEqual(['4a.3/A', true]);
    expect(now?.differences.find(({ field }) => field === 'codec')?.settled).toBeNull();
  });

  it('a file that was kept is written once', () => {
    const edits = applyEdit(board(), 'camera');
    const keep = () => {
      const [matched] = reconcile(edits.reader(), [file]).matched;
      return matched ? noteFile(edits.reader(), matched, NOTICED) : [];
    };
    expect(keep().length).toBeGreaterThan(5);
    edits.set(keep());
    expect(keep()).toEqual([]);
  });
});

describe('checksums', () => {
  const summed = (value: string): RecordedFile => {
    const sums: FileSum[] = [{ kind: 'xxh64', value }];
    return fileOf('A-01/A001C001.mov', 'picture', shotFacts(SHOT), { sums });
  };
  const first = summed('0123456789abcdef');

  it('of the card are kept, and a copy is the same, another, or not whole', () => {
    const shots = [SHOT, { ...SHOT, number: 3, at: 400, more: { cards: ['card-A'] } }].map((shot) => ({
      ...shot,
      more: { cards: ['card-A'] },
    }));
    const edits = applyEdit(dayOf(shots, ['A']), 'camera');
    expect(copyVerdict(edits.reader(), 'card-A', [first], 'xxh64', NOTICED.at + 1)).toMatchObject({
      first: 1,
      checked: null,
    });
    const [matched] = reconcile(edits.reader(), [first]).matched;
    if (matched) edits.set(noteFile(edits.reader(), matched, NOTICED));
    // the reading that wrote them down proves nothing
    expect(copyVerdict(edits.reader(), 'card-A', [first], 'xxh64', NOTICED.at)).toMatchObject({
      same: 0,
      first: 1,
    });
    // the other take of the card is not here
    expect(copyVerdict(edits.reader(), 'card-A', [first], 'xxh64', NOTICED.at + 1)).toMatchObject({
      same: 1,
      lacking: ['4a.3'],
      checked: null,
    });
    edits.set([{ table: 'takes', record: '4a.3', field: 'retired', value: true }]);
    expect(copyVerdict(edits.reader(), 'card-A', [first], 'xxh64', NOTICED.at + 1).checked).toBe('checksum');
    const other = summed('fedcba9876543210');
    expect(copyVerdict(edits.reader(), 'card-A', [other], 'xxh64', NOTICED.at + 1)).toMatchObject({
      checked: 'differs',
      same: 0,
    });
    // what was read first stands
    edits.set(noteFile(edits.reader(), { file: other }, NOTICED));
    expect(edits.reader().value('recordings', recordingId(first), 'checksums')).toEqual([
      { kind: 'xxh64', value: '0123456789abcdef' },
    ]);
  });
});

it('a record’s name is the published hash of the file’s name and size', () => {
  // FNV-1a, 64 bit, test vectors of the IETF draft: "" and "a" and "foobar"
  expect(shortHash('')).toBe('cbf29ce484222325');
  expect(shortHash('a')).toBe('af63dc4c8601ec8c');
  expect(shortHash('foobar')).toBe('85944171f73967e8');
});

it('a folder that agrees in everything says so', () => {
  const more = { clip: 'A001C001', timecodeIn: '09:01:40:00', timecodeOut: '09:02:40:00' };
  const reader = shootReader(dayOf([{ ...SHOT, more }], ['A']));
  const file = fileOf('A-01/A001C001.mov', 'picture', shotFacts(SHOT));
  expect(agrees(tallyOf(reconcile(reader, [file])))).toBe(true);
  expect(agrees(tallyOf(reconcile(reader, [])))).toBe(true);
  expect(agrees(tallyOf(reconcile(reader, [{ ...file, problems: ['cut'] }])))).toBe(false);
});
