/**
 * Every command of the desk, once: its words, its key, what it does. Buttons and the help sheet are made
 * from this list; a gesture is an addition, never the only way.
 *
 * The keys follow one plain rule, told in the help: arrows move, the digits are the ways of seeing in the
 * order of their buttons and with Shift the flip sets, and a letter is the first of its word. One list on
 * purpose, however long: two commands on one key would show here.
 */

import { levelNamed } from '../shot/drawing-ref.ts';
import { lastFrame } from '../shot/exposures.ts';
import { mirrored } from '../stage/camera.ts';
import type { Camera } from '../stage/types.ts';
import { aloneOf, setAlone } from './alone.ts';
import { roleEdit } from './edits.ts';
import type { IconName } from './icons.tsx';
import { heldOn, playedFrames, type SetKind, setKinds, type Way, ways } from './model.ts';
import { canQuickFlip, quickFlip } from './quick-flip.ts';
import type { Session } from './session.ts';
import { setTable, table } from './table.ts';

export interface Command {
  readonly id: string;
  readonly label: string;
  /** The word under its icon on the tool edge; the label when left out. */
  readonly word?: string;
  /** What its button is called while it is on, where pressing it then does something else. */
  readonly labelOn?: string;
  readonly group: 'Flip' | 'Run' | 'Sets' | 'See' | 'Paper' | 'Edit' | 'Notes' | 'Checks' | 'Table';
  readonly icon?: IconName;
  /** As in `Key`: `Shift+ArrowLeft`, `Ctrl+z`, `Digit1` by place, or a letter. */
  readonly key?: string;
  /** The gesture that does the same, for the help sheet. */
  readonly gesture?: string;
  run(session: Session): void;
  /** For a command that holds as long as its key or button is down. */
  readonly release?: (session: Session) => void;
  /** Whether a switch is on. */
  readonly on?: (session: Session) => boolean;
  readonly enabled?: (session: Session) => boolean;
}

const wayFaces: Readonly<Record<Way, readonly [label: string, word: string, icon: IconName]>> = {
  clean: ['Clean', 'Clean', 'clean'],
  rough: ['Rough', 'Rough', 'rough'],
  underlay: ['Rough under clean', 'Under', 'underlay'],
  'side by side': ['Rough beside clean', 'Beside', 'beside'],
  wipe: ['Wipe', 'Wipe', 'wipe'],
  difference: ['Difference', 'Difference', 'difference'],
};

const setLabels: Readonly<Record<SetKind, string>> = {
  keys: 'Keys',
  'keys and breakdowns': 'Keys and breakdowns',
  all: 'All',
  held: 'In the hand',
};

const adjustable: readonly Way[] = ['underlay', 'wipe'];

const wayCommands: readonly Command[] = ways.map((way, index) => ({
  id: `way ${way}`,
  label: wayFaces[way][0],
  word: wayFaces[way][1],
  group: 'See',
  icon: wayFaces[way][2],
  key: `Digit${index + 1}`,
  run(session) {
    session.act({ do: 'way', way });
    session.strip.value = adjustable.includes(way) ? way : undefined;
  },
  on: (session) => session.model.value.way === way,
}));

const setCommands: readonly Command[] = setKinds.map((set, index) => ({
  id: `set ${set}`,
  label: setLabels[set],
  group: 'Sets',
  key: `Shift+Digit${index + 1}`,
  run: (session) => session.act({ do: 'set', set }),
  on: (session) => session.model.value.set === set,
}));

/** How far one press pans (share of a screen px at the stage), zooms and turns. */
const panPx = 60;
const zoomBy = 1.25;
const turnRad = Math.PI / 12;

/** Moves what is seen: the camera's centre goes the other way, along the turned and mirrored paper. */
function panned(camera: Camera, dxPx: number, dyPx: number): Camera {
  const cos = Math.cos(camera.angleRad);
  const sin = Math.sin(camera.angleRad);
  const x = (dxPx * cos + dyPx * sin) / camera.zoom;
  const y = (-dxPx * sin + dyPx * cos) / camera.zoom;
  return { ...camera, centre: [camera.centre[0] + (camera.mirrored ? -x : x), camera.centre[1] + y] };
}

const move = (change: (camera: Camera) => Camera) => (session: Session) => session.moveCamera(change);

const roleCommand = (role: 'key' | 'breakdown' | 'inbetween', label: string, letter: string): Command => ({
  id: `role ${role}`,
  label,
  group: 'Edit',
  key: `Shift+${letter}`,
  run(session) {
    const { level: name, drawing } = session.model.peek();
    const level = levelNamed(session.shot.peek(), name);
    if (level) session.edit(roleEdit(level, new Map([[drawing, role]])));
  },
});

const toggleStrip = (id: string) => (session: Session) => {
  session.strip.value = session.strip.value === id ? undefined : id;
};

const partOf = (session: Session) => playedFrames(session.shot.peek(), session.model.peek());

/** A beginning after the end, or an end before the beginning, takes the other one along. */
function playFrom(session: Session): void {
  const { frame } = session.model.peek();
  const { to } = partOf(session);
  session.act({ do: 'part', part: { from: frame, to: to > frame ? to : lastFrame(session.shot.peek()) } });
}

function playTo(session: Session): void {
  const { frame } = session.model.peek();
  const { from } = partOf(session);
  session.act({ do: 'part', part: { from: from < frame ? from : 1, to: frame } });
}

const known: Command[] = [
  {
    id: 'back',
    label: 'Drawing before',
    group: 'Flip',
    icon: 'back',
    key: 'ArrowLeft',
    gesture: 'one finger across the paper',
    run: (session) => session.act({ do: 'step', by: -1 }),
  },
  {
    id: 'on',
    label: 'Drawing after',
    group: 'Flip',
    icon: 'on',
    key: 'ArrowRight',
    gesture: 'one finger across the paper',
    run: (session) => session.act({ do: 'step', by: 1 }),
  },
  {
    id: 'frame up',
    label: 'Frame before',
    group: 'Flip',
    key: 'ArrowUp',
    gesture: 'thumb along the exposure sheet',
    run: (session) => session.act({ do: 'frame', frame: session.model.peek().frame - 1 }),
  },
  {
    id: 'frame down',
    label: 'Frame after',
    group: 'Flip',
    key: 'ArrowDown',
    gesture: 'thumb along the exposure sheet',
    run: (session) => session.act({ do: 'frame', frame: session.model.peek().frame + 1 }),
  },
  {
    id: 'first',
    label: 'First drawing',
    group: 'Flip',
    key: 'Home',
    run: (session) => session.act({ do: 'end', which: 'first' }),
  },
  {
    id: 'last',
    label: 'Last drawing',
    group: 'Flip',
    key: 'End',
    run: (session) => session.act({ do: 'end', which: 'last' }),
  },
  {
    id: 'play',
    label: 'Play the exposures',
    labelOn: 'Stop',
    group: 'Run',
    icon: 'run',
    key: ' ',
    run(session) {
      if (session.model.peek().motion === 'play') session.halt();
      else session.start('play');
    },
    on: (session) => session.model.value.motion === 'play',
    enabled: (session) => lastFrame(session.shot.value) > 0,
  },
  {
    id: 'roll',
    label: 'Roll to and fro',
    word: 'Roll',
    group: 'Run',
    icon: 'roll',
    key: 'r',
    run(session) {
      if (session.model.peek().motion === 'roll') session.halt();
      else if (heldOn(session.model.peek()).length < 2) {
        session.notice.value = {
          says: 'Take two to five drawings in the hand first: press “Hand” on each.',
        };
      } else {
        session.act({ do: 'set', set: 'held' });
        session.strip.value = 'roll';
        session.start('roll');
      }
    },
    on: (session) => session.model.value.motion === 'roll',
  },
  {
    id: 'loop',
    label: 'Loop: play round and round',
    word: 'Loop',
    group: 'Run',
    icon: 'loop',
    key: 'l',
    run: (session) => session.act({ do: 'loop' }),
    on: (session) => session.model.value.loop,
  },
  {
    id: 'part',
    label: 'Play or loop a part, or slower',
    word: 'Part',
    group: 'Run',
    icon: 'part',
    key: 'Shift+L',
    run: toggleStrip('part'),
    on: ({ strip, model }) =>
      strip.value === 'part' || model.value.part !== undefined || model.value.pace !== 1,
    enabled: (session) => lastFrame(session.shot.value) > 0,
  },
  {
    id: 'part from',
    label: 'Play from this frame on',
    group: 'Run',
    key: '[',
    run: (session) => playFrom(session),
    enabled: (session) => session.model.value.frame > 0,
  },
  {
    id: 'part to',
    label: 'Play up to this frame',
    group: 'Run',
    key: ']',
    run: (session) => playTo(session),
    enabled: (session) => session.model.value.frame > 0,
  },
  ...setCommands,
  {
    id: 'pick',
    label: 'Take this drawing in the hand, or put it back',
    word: 'Hand',
    group: 'Sets',
    icon: 'fingers',
    key: 'h',
    run(session) {
      const { drawing } = session.model.peek();
      const before = heldOn(session.model.peek());
      session.act({ do: 'pick', label: drawing });
      if (heldOn(session.model.peek()) === before) {
        session.notice.value = {
          says: 'Five drawings are in the hand, as many as fit between the fingers. Put one back first.',
        };
      }
    },
    on: (session) => heldOn(session.model.value).includes(session.model.value.drawing),
  },
  {
    id: 'let go',
    label: 'Put all drawings back from the hand',
    group: 'Sets',
    key: 'Shift+H',
    run: (session) => session.act({ do: 'let go' }),
    enabled: (session) => heldOn(session.model.value).length > 0,
  },
  ...wayCommands,
  {
    id: 'other',
    label: 'Other layer, while pressed',
    word: 'Other',
    group: 'See',
    icon: 'lift',
    key: 'o',
    gesture: 'rest a finger on the paper',
    run: (session) => session.hold(true),
    release: (session) => session.hold(false),
    on: (session) => session.model.value.other,
  },
  {
    id: 'quick flip',
    label: 'Quickly to the last drawing and back',
    group: 'Flip',
    key: 'q',
    gesture: 'the button on the side of the pen',
    run: quickFlip,
    enabled: canQuickFlip,
  },
  {
    id: 'alone',
    label: 'Bare: nothing but the paper',
    word: 'Bare',
    group: 'Paper',
    icon: 'alone',
    key: 'b',
    gesture: 'back: a tap on any edge',
    run: (session) => setAlone(session, !aloneOf(session).peek()),
    on: (session) => aloneOf(session).value,
  },
  {
    id: 'neighbours',
    label: 'Neighbours showing through',
    word: 'Through',
    group: 'See',
    icon: 'neighbours',
    key: 'n',
    run(session) {
      const { before, after } = session.model.peek();
      const showing = before + after > 0;
      session.act({ do: 'neighbours', before: showing ? 0 : 1, after: showing ? 0 : 1 });
      session.strip.value = showing ? undefined : 'neighbours';
    },
    on: (session) => session.model.value.before + session.model.value.after > 0,
  },
  {
    id: 'together',
    label: 'All levels together',
    word: 'Levels',
    group: 'See',
    icon: 'levels',
    key: 'a',
    run: (session) => session.act({ do: 'together' }),
    on: (session) => session.model.value.together,
    enabled: (session) => session.shot.value.levels.length > 1,
  },
  {
    id: 'mirror',
    label: 'Mirror the paper',
    group: 'Paper',
    icon: 'mirror',
    key: 'm',
    run: move(mirrored),
    on: (session) => session.camera.value?.mirrored ?? false,
  },
  {
    id: 'fit',
    label: 'Whole paper, upright and not mirrored',
    word: 'Whole',
    group: 'Paper',
    icon: 'fit',
    key: 'w',
    run(session) {
      session.moveCamera((camera) => ({ ...camera, mirrored: false }));
      session.fit();
    },
  },
  {
    id: 'actual',
    label: 'Pixel for pixel',
    group: 'Paper',
    icon: 'actual',
    key: 'p',
    run: (session) => session.stage.peek()?.actualPixels(),
  },
  {
    id: 'nearer',
    label: 'Nearer',
    group: 'Paper',
    icon: 'nearer',
    key: '+',
    gesture: 'two fingers apart',
    run: move((camera) => ({ ...camera, zoom: camera.zoom * zoomBy })),
  },
  {
    id: 'farther',
    label: 'Farther',
    group: 'Paper',
    icon: 'farther',
    key: '-',
    gesture: 'two fingers together',
    run: move((camera) => ({ ...camera, zoom: camera.zoom / zoomBy })),
  },
  {
    id: 'turn left',
    label: 'Turn left',
    group: 'Paper',
    icon: 'turnLeft',
    key: 'Shift+T',
    gesture: 'two fingers round',
    run: move((camera) => ({ ...camera, angleRad: camera.angleRad - turnRad })),
  },
  {
    id: 'turn right',
    label: 'Turn right',
    group: 'Paper',
    icon: 'turnRight',
    key: 't',
    gesture: 'two fingers round',
    run: move((camera) => ({ ...camera, angleRad: camera.angleRad + turnRad })),
  },
  {
    id: 'upright',
    label: 'Upright',
    group: 'Paper',
    icon: 'upright',
    key: 'u',
    run: move((camera) => ({ ...camera, angleRad: 0 })),
  },
  ...(
    [
      ['left', 'ArrowLeft', -panPx, 0],
      ['right', 'ArrowRight', panPx, 0],
      ['up', 'ArrowUp', 0, -panPx],
      ['down', 'ArrowDown', 0, panPx],
    ] as const
  ).map(
    ([where, arrow, dx, dy]): Command => ({
      id: `pan ${where}`,
      label: `Look further ${where}`,
      group: 'Paper',
      key: `Shift+${arrow}`,
      gesture: 'two fingers along',
      run: move((camera) => panned(camera, dx, dy)),
    }),
  ),
  {
    id: 'paper strip',
    label: 'Turn and zoom the paper',
    word: 'Turn',
    group: 'Paper',
    icon: 'paper',
    run: toggleStrip('paper'),
    on: (session) => session.strip.value === 'paper',
  },
  {
    id: 'edit',
    label: 'Edit this drawing',
    word: 'Edit',
    group: 'Edit',
    icon: 'pencil',
    key: 'e',
    run(session) {
      session.panel.value = session.panel.peek() === 'edit' ? undefined : 'edit';
    },
    on: (session) => session.panel.value === 'edit',
  },
  roleCommand('key', 'This drawing is a key', 'K'),
  roleCommand('breakdown', 'This drawing is a breakdown', 'B'),
  roleCommand('inbetween', 'This drawing is an in-between', 'I'),
  {
    id: 'undo',
    label: 'Undo',
    group: 'Edit',
    icon: 'undo',
    key: 'Ctrl+z',
    run: (session) => session.undo(),
    enabled: (session) => session.canUndo.value,
  },
  {
    id: 'redo',
    label: 'Redo',
    group: 'Edit',
    icon: 'redo',
    key: 'Ctrl+Shift+z',
    run: (session) => session.redo(),
    enabled: (session) => session.canRedo.value,
  },
  {
    id: 'swap hand',
    label: 'Change the drawing hand',
    group: 'Table',
    run: () => setTable({ hand: table.peek().hand === 'right' ? 'left' : 'right' }),
  },
  {
    id: 'shelf',
    label: 'Back to the shelf',
    word: 'Shelf',
    group: 'Table',
    icon: 'shelf',
    run() {
      location.hash = '#/';
    },
  },
  {
    id: 'help',
    label: 'Help: keys, gestures, and this table',
    word: 'Help',
    group: 'Table',
    icon: 'help',
    key: '?',
    run(session) {
      session.helpOpen.value = !session.helpOpen.peek();
    },
    on: (session) => session.helpOpen.value,
  },
];

/** All commands, those of other rooms too. */
export const commands: readonly Command[] = known;

/** Registers commands of another room of the desk. A key or id that is taken already is a mistake. */
export function addCommands(added: readonly Command[]): void {
  for (const command of added) {
    const taken = known.find(
      ({ id, key }) => id === command.id || (key !== undefined && key === command.key),
    );
    if (taken) throw new RangeError(`${command.id} takes the id or key of ${taken.id}.`);
    known.push(command);
  }
}

export function commandById(id: string): Command {
  const found = commands.find((command) => command.id === id);
  if (!found) throw new RangeError(`No command is called ${id}.`);
  return found;
}
