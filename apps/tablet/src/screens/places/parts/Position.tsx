import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../../board/useDesk.ts';
import { Field } from '../../../parts/Field.tsx';
import { Icon } from '../../../parts/Icon.tsx';

const WAIT_MS = 20_000;

/** Where a place lies. This device's own position is asked for only when somebody touches the button. */
export function Position({ place }: { place: string }): JSX.Element {
  const desk = useDesk();
  const [said, setSaid] = useState<string | null>(null);
  const editable =
    desk.ready.value && desk.mayWrite({ table: 'places', record: place, field: 'latitudeDeg' });
  const ask = (): void => {
    if (!isSecureContext || !('geolocation' in navigator)) {
      setSaid('This device gives its position only over https. Enter it by hand.');
      return;
    }
    setSaid('Asking this device…');
    navigator.geolocation.getCurrentPosition(
      ({ coords: { latitude, longitude, accuracy } }) => {
        const of = (field: string, value: number) => ({
          table: 'places' as const,
          record: place,
          field,
          value: Number(value.toFixed(5)),
        });
        desk.set(sentence`Position of ${desk.nameOf('places', place)}`, [
          of('latitudeDeg', latitude),
          of('longitudeDeg', longitude),
        ]);
        setSaid(`Set from this device, good to about ${Math.round(accuracy)} m.`);
      },
      ({ code }) =>
        setSaid(
          code === GeolocationPositionError.PERMISSION_DENIED
            ? 'Not allowed on this device. Enter it by hand.'
            : 'This device does not know where it is just now.',
        ),
      { enableHighAccuracy: true, timeout: WAIT_MS, maximumAge: 0 },
    );
  };
  return (
    <div class="stack">
      <div class="fields">
        {(['latitudeDeg', 'longitudeDeg', 'timeZone'] as const).map((field) => (
          <Field key={field} address={{ table: 'places', record: place, field }} />
        ))}
      </div>
      {editable && (
        <button type="button" class="act outline" onClick={ask}>
          <Icon name="places" />
          Use where this device is
        </button>
      )}
      {said !== null && (
        <p class="label" role="status">
          {said}
        </p>
      )}
    </div>
  );
}
