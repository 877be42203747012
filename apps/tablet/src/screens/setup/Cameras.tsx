import { captureRate, tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { Desk } from '../../board/desk.ts';
import { fieldsOf, isEntered } from '../../board/fields.ts';
import { useDesk } from '../../board/useDesk.ts';
import { ExposureGauge } from '../../parts/ExposureGauge.tsx';
import { Field } from '../../parts/Field.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { copyPicture } from './copying.ts';
import { AddCamera } from './Devices.tsx';
import { DeviceSheet } from './later.ts';

const EXPOSURE = ['aperture', 'shutter', 'sensitivity', 'ndDensity'] as const;
const USUAL = [
  'keyLux',
  'fillLux',
  'whiteBalanceK',
  'tint',
  'focalLengthMm',
  'focusDistanceM',
  'frameRate',
  'plannedSpeed',
] as const;
const LED: ReadonlySet<string> = new Set([...EXPOSURE, 'iso', 'gainDb', ...USUAL]);
const MORE = fieldsOf('picture', (name, field) => !LED.has(name) && isEntered(name, field));

function pictureAddress(record: string, field: string) {
  return { table: 'picture' as const, record, field };
}

/** The picture of a setup, camera by camera. */
export function Cameras({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const cameras = useDerived(() => desk.recordsInUse('cameras'), [desk]);
  return (
    <section class="section" aria-label="Picture">
      <h2>Picture</h2>
      {cameras.length === 0 && (
        <p class="muted">
          No camera is on this board yet. The camera department adds its cameras, or they come with a plan.
        </p>
      )}
      {cameras.map((camera) => (
        <Camera key={camera} setup={setup} camera={camera} />
      ))}
      <AddCamera />
      <div class="fields">
        <Field address={{ table: 'setups', record: setup, field: 'lightsK' }} />
        <Field address={{ table: 'setups', record: setup, field: 'lights' }} class="span" />
      </div>
    </section>
  );
}

function Camera({ setup, camera }: { setup: string; camera: string }): JSX.Element {
  const desk = useDesk();
  const [about, setAbout] = useState(false);
  const record = `${setup}.${camera}`;
  const device = desk.board.view('cameras', camera);
  const rate = useDerived(() => captureRate(desk.board, record), [desk, record]);
  const own = desk.me.role === 'camera';
  const of = `camera ${camera}`;
  const view = desk.board.view('picture', record);
  // Those who only read are spared the empty boxes.
  const isShown = (name: string): boolean => own || name in view;
  const unset = USUAL.filter((name) => !isShown(name)).map((name) => tables.picture.fields[name].label);
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
        <h3 dir="auto">{device.name ?? `Camera ${camera}`}</h3>
        {own && (
          <button
            type="button"
            class="act quiet"
            aria-label={`About camera ${camera}`}
            onClick={() => setAbout(true)}
          >
            About
          </button>
        )}
        {own && desk.ready.value && <CopyButton setup={setup} camera={camera} />}
        {about && <DeviceSheet table="cameras" record={camera} onClose={() => setAbout(false)} />}
      </header>
      {Object.keys(view).length === 0 && !own ? (
        <p class="muted">Nothing is entered for this camera yet.</p>
      ) : (
        <>
          <ExposureGauge record={record} />
          <div class={own ? 'fields leads' : 'fields leads reading'}>
            {EXPOSURE.map((name) => field(name, true))}
          </div>
          <div class={own ? 'fields' : 'fields reading'}>
            {USUAL.filter(isShown).map((name) => field(name))}
          </div>
          {unset.length > 0 && <p class="label">Not set: {unset.join(', ').toLowerCase()}</p>}
          {MORE.some(isShown) && (
            <details class="more">
              <summary>Format and more</summary>
              <div class={own ? 'fields' : 'fields reading'}>
                {MORE.filter(isShown).map((name) => field(name))}
              </div>
            </details>
          )}
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
  const reference = desk.groupOf(setup)?.reference;
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
