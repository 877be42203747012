import type { Department, ShootRecord } from '../tables/index.ts';

/** When a line of the routine is gone through. */
export type RoutineTime = NonNullable<ShootRecord<'routine'>['when']>;
/** What the board can see by itself. */
export type ComputedCheck = NonNullable<ShootRecord<'routine'>['computedBy']>;

/** A line of the routine as it stands where the shoot says nothing else. */
export interface UsualLine {
  readonly department: Department;
  /** Names the line within its department. */
  readonly name: string;
  readonly when: RoutineTime;
  readonly title: string;
  readonly computedBy?: ComputedCheck;
}

const lines = (
  department: Department,
  when: RoutineTime,
  list: readonly (readonly [name: string, title: string, computedBy?: ComputedCheck])[],
): readonly UsualLine[] =>
  list.map(([name, title, computedBy]) => ({
    department,
    when,
    name,
    title,
    ...(computedBy && { computedBy }),
  }));

/** The routine that a shoot begins with. Common practice, no source. */
export const USUAL_ROUTINE: readonly UsualLine[] = [
  ...lines('camera', 'beforeDay', [
    ['batteries', 'Batteries charged, on the camera and in the bag', 'batteriesCharged'],
    ['cards', 'Free cards for the day', 'cardsReady'],
    ['sensor', 'Sensor and filters looked at against a bright even surface'],
    ['lenses', 'Lenses: glass, mount, caps; back focus where the lens has one'],
    ['clock', 'Date, time and timecode set on every camera'],
    ['menus', 'Format, raster, frame rate and transfer curve as the shoot says'],
    ['testShot', 'A test shot played back, picture and sound'],
    ['stands', 'Heads, legs, stands and sandbags: locks hold, nothing loose'],
    ['cables', 'Mains leads and plugs whole and dry; lamps earthed'],
  ]),
  ...lines('camera', 'setup', [
    ['card', 'Card in, prepared, with room for the take', 'cardIn'],
    ['battery', 'Battery good for the take', 'batteryOn'],
    ['byHand', 'Automatic functions off', 'allByHand'],
    ['whiteBalance', 'White balance taken under the lights in use'],
    ['focus', 'Focus marks taken; back of the frame looked at'],
    ['edges', 'Edges of the frame: no stand, cable, boom or reflection'],
    ['overhead', 'Nothing overhead that is not tied twice; legs weighted'],
  ]),
  ...lines('camera', 'wrap', [
    ['copied', 'Every take on its verified copies', 'takesCopied'],
    ['cleared', 'Cards cleared for preparing', 'cardsCleared'],
    ['chargers', 'Batteries on charge, where somebody can see them'],
    ['capped', 'Lenses capped, sensor covered, cases latched'],
    ['kit', 'All kit signed back in', 'kitBack'],
    ['floor', 'Floor and ceiling walked: marks, tape, hire, keys'],
  ]),
  ...lines('sound', 'beforeDay', [
    ['batteries', 'Batteries charged, radios and recorder', 'batteriesCharged'],
    ['cards', 'Free cards for the day', 'cardsReady'],
    ['lineUp', 'Line-up tone from the recorder read on every camera'],
    ['timecode', 'Timecode set and held against the cameras'],
    ['radios', 'Radio channels scanned at the place; licence at hand'],
    ['cables', 'Cables and microphones tried one by one on headphones'],
    ['wind', 'Wind shields, clips, tape for lapels'],
  ]),
  ...lines('sound', 'setup', [
    ['channels', 'Every channel with its source, none flagged', 'channelsOpen'],
    ['card', 'Card in, with room for the take', 'cardIn'],
    ['battery', 'Battery good for the take', 'batteryOn'],
    ['listen', 'Listened on headphones: hum, rustle, radio, fridge'],
    ['level', 'Level taken on the loudest words, low cut and limiter as meant'],
    ['phones', 'Telephones off or away from the cables'],
  ]),
  ...lines('sound', 'wrap', [
    ['roomTone', 'Room tone of every place recorded', 'roomTone'],
    ['copied', 'Every take on its verified copies', 'takesCopied'],
    ['cleared', 'Cards cleared for preparing', 'cardsCleared'],
    ['lapels', 'Every lapel and pack back from whoever wore it'],
    ['kit', 'All kit signed back in', 'kitBack'],
    ['radiosOff', 'Radios and phantom power off'],
  ]),
  ...lines('director', 'beforeDay', [
    ['calls', 'Everybody has the call, the place and who to ring'],
    ['permission', 'Permissions and keys at hand'],
    ['safety', 'Hazards of the place told to everybody; first aid and the way out known'],
    ['flags', 'Flags of the day before answered', 'flagsAnswered'],
  ]),
  ...lines('director', 'setup', [
    ['told', 'Everybody told what is shot and what is dangerous about it'],
    ['eyeline', 'Eyeline, side of the line, and what it cuts to'],
    ['continuity', 'Hands, props and clothes as in the setup before'],
  ]),
  ...lines('director', 'wrap', [
    ['judged', 'Every take judged', 'takesJudged'],
    ['releases', 'Consent of everybody seen or heard signed'],
    ['place', 'Place as it was found; keys given back'],
    ['tomorrow', 'Tomorrow’s call and place told'],
  ]),
];
