import { namePart, type RightQuestion, splitId } from '@plumbline/replica';

/** The part of a record's id that names a department. */
export const departmentPart = namePart(/^(director|camera|sound)$/);

/** The department stands in the record's id; only it writes there. */
export function ownDepartment(part: number) {
  return ({ role, record }: RightQuestion): string | null =>
    splitId(record)[part] === role ? null : 'That belongs to another department.';
}

/** The departments, with the words that people read. */
export const DEPARTMENT_CHOICES = [
  { value: 'director', label: 'Director' },
  { value: 'camera', label: 'Camera' },
  { value: 'sound', label: 'Sound' },
] as const;

/** The person whom a signature names. */
export const signature = (value: unknown): string | null => (typeof value === 'string' ? value : null);
