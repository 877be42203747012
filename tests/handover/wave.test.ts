import { type ReadAt, readIxml, readWave, WaveProblem, waveSidecar } from '@plumbline/shared/handover';
import { describe, expect, it } from 'vitest';
import wavefile from 'wavefile';
import { randomOf, seedOf } from '../support/random.ts';

const seed = seedOf(20_270_517);
console.log(`PLUMBLINE_SEED=${seed}`);

const IXML = `<?xml version="1.0" encoding="UTF-8"?>
<BWFXML><IXML_VERSION>2.0</IXML_VERSION><PROJECT>The rope walk &amp; more</PROJECT><SCENE>1A</SCENE><TAKE>3</TAKE>
<TAPE>R1</TAPE><CIRCLED>TRUE</CIRCLED><NOTE>綱の音</NOTE>
<SPEED><TIMECODE_RATE>30000/1001</TIMECODE_RATE><TIMECODE_FLAG>DF</TIMECODE_FLAG><FILE_SAMPLE_RATE>48000</FILE_SAMPLE_RATE>
<AUDIO_BIT_DEPTH>24</AUDIO_BIT_DEPTH><TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI>0</TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI>
<TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO>172799827</TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO></SPEED>
<TRACK_LIST><TRACK_COUNT>2</TRACK_COUNT>
<TRACK><CHANNEL_INDEX>1</CHANNEL_INDEX><INTERLEAVE_INDEX>1</INTERLEAVE_INDEX><NAME>Boom</NAME><FUNCTION>M</FUNCTION></TRACK>
<TRACK><CHANNEL_INDEX>3</CHANNEL_INDEX><INTERLEAVE_INDEX>2</INTERLEAVE_INDEX><NAME>Ilse</NAME></TRACK></TRACK_LIST></BWFXML>`;

function reader(bytes: Uint8Array): ReadAt {
  return async (offset, length) => bytes.subarray(offset, offset + length);
}

/** A file written by another library (wavefile, MIT): two channels, 24 bit, 48 kHz, with bext and iXML. */
function recorded(ixml: string | null = IXML): Uint8Array {
  const wave = new wavefile.WaveFile();
  wave.fromScratch(2, 48_000, '24', [
    [1, 2, 3, 4, 5],
    [6, 7, 8, 9, 10],
  ]);
  Object.assign(wave.bext, {
    chunkId: 'bext',
    description: 'Scene 1A take 3',
    originator: 'A recorder',
    originatorReference: 'REF1',
    originationDate: '2027-05-14',
    originationTime: '10:00:00',
    timeReference: [172_799_827, 0],
    version: 2,
    loudnessValue: -2310 & 0xffff,
    loudnessRange: 700,
    maxTruePeakLevel: -150 & 0xffff,
    maxMomentaryLoudness: 0x7fff,
    maxShortTermLoudness: -1900 & 0xffff,
    codingHistory: 'A=PCM,F=48000,W=24,M=stereo',
  });
  if (ixml !== null) wave.setiXML(ixml);
  return wave.toBuffer();
}

describe('what a recorded wave file says of itself', () => {
  it('is read as the library that wrote it meant it', async () => {
    const bytes = recorded();
    const wave = await readWave(reader(bytes), bytes.length);
    expect(wave).toMatchObject({ form: 'RIFF', channels: 2, sampleRateHz: 48_000, bitDepth: 24, samples: 5 });
    // EBU Tech 3285 version 2: loudness in hundredths; 0x7FFF where it was not measured.
    expect(wave.bext).toMatchObject({
      description: 'Scene 1A take 3',
      originator: 'A recorder',
      originatorReference: 'REF1',
      originationDate: '2027-05-14',
      originationTime: '10:00:00',
      timeReferenceSamples: 172_799_827,
      version: 2,
      loudness: { integratedLufs: -23.1, rangeLu: 7, maxTruePeakDbtp: -1.5, maxMomentaryLufs: null },
      codingHistory: 'A=PCM,F=48000,W=24,M=stereo',
    });
    expect(wave.ixml).toBe(IXML);
  });

  it('names its tracks, its take and its first timecode, counted exactly', async () => {
    const bytes = recorded();
    const sidecar = await waveSidecar('1A_3.wav', reader(bytes), bytes.length);
    expect(sidecar.ixml).toMatchObject({
      project: 'The rope walk & more',
      scene: '1A',
      take: '3',
      circled: true,
      note: '綱の音',
      dropFrame: true,
      tracks: [
        { channel: 1, interleave: 1, name: 'Boom', use: 'M' },
        { channel: 3, interleave: 2, name: 'Ilse', use: '' },
      ],
    });
    // SMPTE ST 12-1: 01:00:00;00 drop-frame is frame 107892, that is sample 107892 · 1001/30000 · 48000 = 172799827.2:
    // sample 172799827 still lies in the frame before.
    expect(sidecar.startTimecode).toBe('00:59:59;29');
    expect(sidecar.problems).toEqual([]);
    expect(JSON.parse(JSON.stringify(sidecar))).toEqual(sidecar);
  });

  it('says where iXML and bext do not agree, and reads the rest', async () => {
    const bytes = recorded(IXML.replace('172799827', '5').replace('>48000<', '>44100<'));
    const { problems, samples } = await waveSidecar('x.wav', reader(bytes), bytes.length);
    expect(problems).toHaveLength(2);
    expect(samples).toBe(5);
  });

  it('goes without either', async () => {
    const wave = new wavefile.WaveFile();
    wave.fromScratch(1, 96_000, '16', [0, 1]);
    const bytes = wave.toBuffer();
    const sidecar = await waveSidecar('x.wav', reader(bytes), bytes.length);
    expect(sidecar).toMatchObject({
      bext: null,
      ixml: null,
      startSamples: null,
      sampleRateHz: 96_000,
      samples: 2,
    });
  });

  it.each([
    ['<BWFXML><!DOCTYPE a [<!ENTITY b "c">]></BWFXML>'],
    ['<OTHER/>'],
    ['<BWFXML><SCENE></BWFXML>'],
    ['no xml at all'],
  ])('iXML of %j is a problem in words', (xml) => {
    expect(() => readIxml(xml)).toThrow(WaveProblem);
  });

  it('a file cut short, spoilt or of something else is named, and never more than asked for is read', async () => {
    const random = randomOf(seed);
    const sound = recorded();
    for (let turn = 0; turn < 400; turn++) {
      const bytes = sound.slice(0, random.below(3) === 0 ? random.below(sound.length) : sound.length);
      for (let spoilt = random.below(6); spoilt > 0 && bytes.length > 0; spoilt--) {
        bytes[random.below(Math.min(bytes.length, 1200))] = random.below(256);
      }
      let read = 0;
      const counting: ReadAt = async (offset, length) => {
        read += length;
        return bytes.subarray(offset, offset + length);
      };
      await waveSidecar('x.wav', counting, bytes.length).catch((error: unknown) => {
        expect(error).toBeInstanceOf(WaveProblem);
      });
      expect(read).toBeLessThan(bytes.length * 3 + 4096);
    }
  });
});
