import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { positionIn } from '../../apps/tablet/src/screens/places/photos/gps.ts';
import { seedOf } from '../support/random.ts';
import { jpegHead } from './exif.ts';

const SEED = seedOf(20_270_514);

describe('the position in a photograph', () => {
  it.each([
    ['little-endian', true],
    ['big-endian', false],
  ])(
    'is read as degrees, minutes and seconds, %s (Exif, JEITA CP-3451, tags 1 to 4 of the GPS directory)',
    (_, little) => {
      const head = jpegHead({
        little,
        latitude: [55, 7, 15.24],
        latitudeRef: 'N',
        longitude: [10, 56, 59.28],
        longitudeRef: 'E',
      });
      // 55° 7′ 15.24″ = 55 + 7/60 + 15.24/3600
      expect(positionIn(head)).toEqual({ latitudeDeg: 55.1209, longitudeDeg: 10.9498 });
    },
  );

  it('south and west are negative', () => {
    const head = jpegHead({
      little: true,
      latitude: [43, 30, 0],
      latitudeRef: 'S',
      longitude: [172, 36, 0],
      longitudeRef: 'W',
    });
    expect(positionIn(head)).toEqual({ latitudeDeg: -43.5, longitudeDeg: -172.6 });
  });

  it('is none where the file has none, or one that cannot be', () => {
    expect(positionIn(new Uint8Array([0xff, 0xd8, 0xff, 0xe0, 0, 4, 0, 0, 0xff, 0xda]))).toBeNull();
    expect(positionIn(new Uint8Array())).toBeNull();
    expect(positionIn(new TextEncoder().encode('<html>'))).toBeNull();
    const beyond = jpegHead({
      little: true,
      latitude: [95, 0, 0],
      latitudeRef: 'N',
      longitude: [10, 0, 0],
      longitudeRef: 'E',
    });
    expect(positionIn(beyond)).toBeNull();
    const noFraction = jpegHead({
      little: true,
      latitude: [0, 0, 0],
      latitudeRef: 'N',
      longitude: [0, 0, 0],
      longitudeRef: 'E',
      over: 0,
    });
    expect(positionIn(noFraction)).toBeNull();
  });

  const head = jpegHead({
    little: false,
    latitude: [55, 7, 15],
    latitudeRef: 'N',
    longitude: [10, 56, 59],
    longitudeRef: 'E',
  });

  it('a file cut off anywhere is read to its end and no further', () => {
    for (let length = 0; length < head.length; length++) {
      expect(() => positionIn(head.slice(0, length))).not.toThrow();
    }
  });

  it(`a file with any bytes wrong never breaks the reader (seed ${SEED})`, () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(head.length - 1), fc.integer({ min: 0, max: 255 })), {
          minLength: 1,
          maxLength: 12,
        }),
        (changes) => {
          const bytes = head.slice();
          for (const [index, value] of changes) bytes[index] = value;
          const position = positionIn(bytes);
          if (position === null) return;
          expect(Math.abs(position.latitudeDeg)).toBeLessThanOrEqual(90);
          expect(Math.abs(position.longitudeDeg)).toBeLessThanOrEqual(180);
        },
      ),
      { seed: SEED, numRuns: 2000 },
    );
  });
});
