import { namePart } from '@plumbline/replica';
import { departmentPart, ownDepartment } from './department.ts';
import { DEPARTMENTS, type Department, moment, reference, table, text } from './field.ts';

const all: readonly Department[] = DEPARTMENTS;
const checkAbout = { by: all, restrict: ownDepartment(1) };

export const checks = table('Checks', [namePart(), departmentPart, namePart()], {
  title: text({ ...checkAbout, label: 'Check', help: 'What is looked at.' }, 120),
  doneBy: reference('people', {
    ...checkAbout,
    label: 'Done by',
    help: 'Who looked.',
    signedBy: (value) => (typeof value === 'string' ? value : null),
  }),
  doneAt: moment({ ...checkAbout, label: 'Done', help: 'When.' }),
  remark: text({ ...checkAbout, label: 'Remark', help: 'What was found.' }, 300),
});
