import type { ComponentType, JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../board/useDesk.ts';
import { Icon } from '../../parts/Icon.tsx';

/** The departments that have cards and batteries of their own. */
export type OwningDepartment = 'camera' | 'sound';

/** Opens the sheet for something new that camera or sound owns. Absent for everybody else. */
export function AddOwn(props: {
  label: string;
  sheet: ComponentType<{ department: OwningDepartment; onClose: () => void }>;
}): JSX.Element | null {
  const { label, sheet: NewSheet } = props;
  const desk = useDesk();
  const [open, setOpen] = useState(false);
  const { role } = desk.me;
  if (!desk.ready.value || (role !== 'camera' && role !== 'sound')) return null;
  return (
    <div class="row">
      <button type="button" class="act" onClick={() => setOpen(true)}>
        <Icon name="plus" /> {label}
      </button>
      {open && <NewSheet department={role} onClose={() => setOpen(false)} />}
    </div>
  );
}
