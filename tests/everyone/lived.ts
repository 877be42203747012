import { boardDefinition } from '@plumbline/shared';
import { joinWith, type Reachable } from '../support/base.ts';
import { openTablet } from '../support/clients.ts';
import type { Tablets } from '../support/tablets.ts';

/** Makes something happen on the demo shoot: a take on a card, a copy that nobody has checked, a flag, something asked. */
export async function liveADay(
  base: Reachable,
  invites: Readonly<Record<string, string>>,
  tablets: Tablets,
): Promise<void> {
  const now = Date.now();
  const open = async (role: string) => {
    const member = await joinWith(base, invites[role] ?? '', `Earlier ${role}`);
    return { person: member.personId, tablet: await openTablet(base, member, boardDefinition) };
  };
  const [lead, camera] = await Promise.all([open('director'), open('camera')]);
  lead.tablet.set('takes', '1D.1', 'rolledAt', now - 60_000);
  lead.tablet.set('takes', '1D.1', 'rolledBy', lead.person);
  await lead.tablet.settled();
  lead.tablet.set('takes', '1D.1', 'cutAt', now - 30_000);
  camera.tablet.set('cards', 'A-01', 'state', 'full');
  camera.tablet.set('cards', 'A-01', 'copies', [
    { where: 'First disk', checked: 'no', at: now - 10_000, by: camera.person },
  ]);
  for (const [name, value] of Object.entries({
    what: 'The lamp flickers',
    about: 'setups/1D',
    department: 'director',
    severity: 'mend',
    raisedBy: camera.person,
    raisedAt: now - 5000,
  }))
    camera.tablet.set('flags', 'lamp', name, value);
  await Promise.all([lead.tablet.settled(), camera.tablet.settled()]);
  lead.tablet.close();
  camera.tablet.close();
  // what the camera may decline
  const { page, giveBack } = await tablets.at('director', 'setup/1D', {
    size: 'portrait',
    name: 'The director',
  });
  await page
    .getByRole('button', { name: /^Ask camera for it/ })
    .first()
    .click();
  await giveBack();
}
