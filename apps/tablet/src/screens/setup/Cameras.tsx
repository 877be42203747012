import { captureRate, matchGroupOf } from '@plumbline/shared';
import { useComputed } from '@preact/signals';
import type { JSX } from 'preact';
import type { Desk } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { ExposureGauge } from '../../parts/ExposureGauge.tsx';
import { Field } from '../../parts/Field.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { copyPicture } from './copying.ts';

type PictureField = Parameters<typeof pictureAddress>[1];

const EXPOSURE = ['aperture', 'shutter', 'sensitivity', 'ndDensity'] as const;
const LIGHT: readonly PictureField[] = ['keyLux', 'fillLux', 'whiteBalanceK', 'tint'];
const LENS: readonly PictureField[] = ['focalLengthMm', 'focusDistanceM', 'frameRate', 'plannedSpeed'];
const MORE: readonly PictureField[] = [
  'raster',
  'scan',
  'codec',
  'bitRateMbps',
  'bitDepth',
  'chroma',
  'transfer',
  'sampleRateHz',
  'timecodeRate',
  'dropFrame',
  'filters',
  'support',
  'lensHeightM',
  'bearingDeg',
  'autoFunctions',
  'note',
];

function pictureAddress(record: string, field: string) {
  return { table: 'picture' as const, record, field };
}

/** The picture of a setup, camera by camera. */
export function Cameras({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const cameras = useComputed(() => desk.recordsInUse('cameras')).value;
  return (
    <section class="section" aria-label="Picture">
      <h2>Picture</h2>
      {cameras.length === 0 && (
        <p class="muted">
          No camera is on this board yet. The camera department enters its cameras, or they come with a plan.
        </p>
      )}
      {cameras.map((camera) => (
        <Camera key={camera} setup={setup} camera={camera} />
      ))}
      <div class="fields">
        <Field address={{ table: 'setups', record: setup, field: 'lightsK' }} />
        <Field address={{ table: 'setups', record: setup, field: 'lights' }} class="span" />
      </div>
    </section>
  );
}

function Camera({ setup, camera }: { setup: string; camera: string }): JSX.Element {
  const desk = useDesk();
  const record = `${setup}.${camera}`;
  const device = desk.board.view('cameras', camera);
  const rate = useComputed(() => captureRate(desk.board, record)).value;
  const entered = Object.keys(desk.board.view('picture', record)).length > 0;
  const own = desk.me.role === 'camera';
  const of = `camera ${camera}`;
  const showing = { rate };
  const field = (name: string, lead = false): JSX.Element => {
    const actual = name === 'sensitivity' ? sensitivity(desk, record, camera) : name;
    return (
      <Field
        key={actual}
        address={pictureAddress(record, actual)}
        of={of}
        showing={showing}
        entering={{ densities: device.ndAvailable ?? [] }}
        class={lead ? 'lead' : ''}
      />
    );
  };
  return (
    <article class="camera" data-camera={record}>
      <header class="camera-head">
        <span class="camera-letter">{camera}</span>
        <h3 class="clip">{device.name ?? `Camera ${camera}`}</h3>
        {own && desk.ready.value && <CopyButton setup={setup} camera={camera} />}
      </header>
      {!entered && !own ? (
        <p class="muted">Nothing is entered for this camera yet.</p>
      ) : (
        <>
          <ExposureGauge record={record} />
          <div class="fields leads">{EXPOSURE.map((name) => field(name, true))}</div>
          <div class="fields">{LIGHT.map((name) => field(name))}</div>
          <div class="fields">{LENS.map((name) => field(name))}</div>
          <details class="more">
            <summary>Format and more</summary>
            <div class="fields">{MORE.map((name) => field(name))}</div>
          </details>
        </>
      )}
    </article>
  );
}

/** A camera that is set in dB shows its gain, another its ISO. */
function sensitivity(desk: Desk, record: string, camera: string): 'iso' | 'gainDb' {
  const { iso, gainDb } = desk.board.view('picture', record);
  const convention = desk.board.value('cameras', camera, 'gainConvention');
  if (convention === 'gain') return 'gainDb';
  return convention === undefined && iso === undefined && gainDb !== undefined ? 'gainDb' : 'iso';
}

/** Takes over what the group's reference setup has, or the setup before. */
function CopyButton({ setup, camera }: { setup: string; camera: string }): JSX.Element | null {
  const desk = useDesk();
  const reference = useComputed(() => matchGroupOf(desk.board, setup)?.reference).value;
  if (reference === undefined || reference === setup) return null;
  const from = `${reference}.${camera}`;
  if (Object.keys(desk.board.view('picture', from)).length === 0) return null;
  const label = desk.nameOf('setups', reference);
  return (
    <button
      type="button"
      class="act push"
      data-copy={from}
      onClick={() => copyPicture(desk, from, `${setup}.${camera}`, label)}
    >
      <Icon name="copy" />
      Copy from {label}
    </button>
  );
}
