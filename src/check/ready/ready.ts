/** Whether a shot may go to ink and paint, and if not, why and where. A pure function of what is known of it. */
import type { Box } from '../../line/picture.ts';
import type { HouseRules } from '../../note/entry.ts';
import type { FixFinding } from '../../note/fix-list.ts';
import type { Note, Notes } from '../../note/merge.ts';
import { drawingState } from '../../note/progress.ts';
import type { Standing } from '../../note/standing.ts';
import { drawingOf } from '../../shot/drawing-ref.ts';
import { exposureAt, lastFrame } from '../../shot/exposures.ts';
import type { Drawing, Level, Shot } from '../../shot/model.ts';
import { cleanOf } from '../../shot/takes.ts';
import type { Tolerances } from '../tolerances.ts';
import { count } from '../words.ts';
import { asksNothing, faultWords, type HouseFound, rulesWords } from './house.ts';
import type { Unjudged } from './unjudged.ts';

export const readyNames = [
  'clean',
  'approved',
  'notes',
  'sheet',
  'numbers',
  'closed',
  'weight',
  'specks',
  'house',
] as const;
export type ReadyName = (typeof readyNames)[number];

/** Where something stands in the way. */
export interface ReadyPlace {
  readonly level: string;
  readonly drawing: string;
  readonly says: string;
  /** Px of the drawing's picture. */
  readonly bbox?: Box;
  /** Of the sheet, from 1. */
  readonly frame?: number;
  /** Id of the note. */
  readonly note?: string;
  /** Key of the finding. */
  readonly finding?: string;
}

export interface ReadyLine {
  readonly name: ReadyName;
  /** What has to hold. */
  readonly title: string;
  /** `waits`: it is still being measured, and nothing stands in the way so far. */
  readonly state: 'holds' | 'not' | 'waits';
  readonly says: string;
  readonly places: readonly ReadyPlace[];
  /** What could not be measured: it stops nothing, since a director approved the drawing by eye. */
  readonly unjudged: readonly ReadyPlace[];
}

export interface Ready {
  readonly ready: boolean;
  readonly lines: readonly ReadyLine[];
  /** Other findings that nobody dismissed: for the eye, they stop nothing. */
  readonly aside: readonly ReadyPlace[];
}

export interface ReadyInput {
  /** After everything that was said of it. */
  readonly shot: Shot;
  readonly notes: Notes;
  readonly standings: readonly Standing<FixFinding>[];
  /** Drawings are still being measured. */
  readonly measuring: boolean;
  readonly unjudged: readonly Unjudged[];
  readonly tolerances: Tolerances;
  readonly house: HouseRules;
  /** By the SHA-256 of the clean drawing; of those asked so far. */
  readonly houseFound: ReadonlyMap<string, HouseFound>;
}

type Told = Pick<ReadyLine, 'says' | 'places'> & Partial<Pick<ReadyLine, 'state' | 'unjudged'>>;

const titles: Readonly<Record<ReadyName, string>> = {
  clean: 'Every drawing is cleaned up',
  approved: 'Every drawing is approved',
  notes: 'No note is open',
  sheet: 'Every frame and exposure is filled',
  numbers: 'Sizes and numbers are right',
  closed: 'The line closes',
  weight: 'Line weight is within tolerance',
  specks: 'No specks and no pinholes',
  house: 'The line keeps the rules of the house',
};

export function readyOf(input: ReadyInput): Ready {
  const told: Readonly<Record<ReadyName, Told>> = {
    clean: cleanLine(input),
    approved: approvedLine(input),
    notes: notesLine(input),
    sheet: sheetLine(input.shot),
    numbers: measuredLine(input, ['size', 'missing'], ''),
    closed: measuredLine(input, ['leaks'], gapWords(input.tolerances), 'closed'),
    weight: measuredLine(input, ['weight'], '', 'weight'),
    specks: measuredLine(input, ['specks'], '', 'specks'),
    house: houseLine(input),
  };
  const lines = readyNames.map((name): ReadyLine => {
    const { places, unjudged = [], state = places.length > 0 ? 'not' : 'holds', says } = told[name];
    return { name, title: titles[name], state, says, places, unjudged };
  });
  const stops = new Set(['size', 'missing', 'leaks', 'weight', 'specks']);
  return {
    ready: lines.every(({ state }) => state === 'holds'),
    lines,
    aside: input.standings.flatMap(({ standing, finding }) =>
      standing === 'open' && !stops.has(finding.check) ? [placeOf(finding)] : [],
    ),
  };
}

interface Placed {
  readonly level: Level;
  readonly drawing: Drawing;
}
const all = ({ levels }: Shot): Placed[] =>
  levels.flatMap((level) => level.drawings.map((drawing) => ({ level, drawing })));
const drawings = (n: number): string => count(n, 'drawing');

function cleanLine({ shot }: ReadyInput): Told {
  const every = all(shot);
  const places = every.flatMap(({ level, drawing }) =>
    cleanOf(drawing) ? [] : [{ level: level.name, drawing: drawing.label, says: 'has no clean-up' }],
  );
  if (every.length === 0) return { says: 'The shot holds no drawing.', places, state: 'not' };
  return {
    says: places.length > 0 ? `${drawings(places.length)} of ${every.length} to go` : drawings(every.length),
    places,
  };
}

function approvedLine({ shot, notes }: ReadyInput): Told {
  const every = all(shot);
  const places = every.flatMap(({ level, drawing }) => {
    const state = drawingState(notes, level.name, drawing);
    return state === 'approved'
      ? []
      : [{ level: level.name, drawing: drawing.label, says: `is ${state}, not approved` }];
  });
  return {
    says: places.length > 0 ? `${drawings(places.length)} of ${every.length} to go` : drawings(every.length),
    places,
  };
}

function notesLine({ shot, notes }: ReadyInput): Told {
  const standing = notes.notes.filter(({ withdrawn }) => !withdrawn);
  const places = standing.flatMap((note): ReadyPlace[] => {
    if (note.state === 'approved') return [];
    const { level } = note.pin.body;
    const drawing = note.drawings.find((label) => drawingOf(shot, { level, drawing: label })) ?? '';
    return [{ level, drawing: drawing || note.pin.body.drawing, says: noteWords(note), note: note.id }];
  });
  const settled = standing.length - places.length;
  return { says: settled > 0 ? `${count(settled, 'note')} approved` : '', places };
}

const MOST_WORDS = 80;
function noteWords({ state, text, about }: Note): string {
  const said = text.trim() || `about the ${about}`;
  const short = said.length > MOST_WORDS ? `${said.slice(0, MOST_WORDS)} …` : said;
  return state === 'fixed' ? `fixed, to be looked at: ${short}` : `${state}: ${short}`;
}

function sheetLine(shot: Shot): Told {
  const last = lastFrame(shot);
  const places: ReadyPlace[] = [];
  for (const level of shot.levels) {
    if (level.exposuresGuessed && level.exposures.length > 0)
      places.push({
        level: level.name,
        drawing: level.exposures[0]!.drawing,
        frame: 1,
        says: 'the exposures are guessed; nobody has said them',
      });
    for (const { drawing, frame } of level.exposures) {
      const found = drawingOf(shot, { level: level.name, drawing });
      if (found && cleanOf(found)) continue;
      const what = found ? `drawing ${drawing} has no clean-up` : `there is no drawing ${drawing}`;
      places.push({ level: level.name, drawing, frame, says: `frame ${frame}: ${what}` });
    }
  }
  for (const [from, to] of emptyFrames(shot, last)) {
    const frames = from === to ? `frame ${from}` : `frames ${from} to ${to}`;
    places.push({
      level: shot.levels[0]?.name ?? '',
      drawing: '',
      frame: from,
      says: `nothing on ${frames}`,
    });
  }
  if (last === 0) return { says: 'No drawing is on the exposure sheet.', places, state: 'not' };
  const off = all(shot).filter(
    ({ level, drawing }) => !level.exposures.some((exposure) => exposure.drawing === drawing.label),
  ).length;
  const says = count(last, 'frame');
  return { says: off > 0 ? `${says}; ${drawings(off)} on none of them` : says, places };
}

/** Runs of frames on which no level shows anything; a level by itself may be blank. */
function emptyFrames(shot: Shot, last: number): [from: number, to: number][] {
  const runs: [number, number][] = [];
  for (let frame = 1; frame <= last; frame++) {
    if (shot.levels.some((level) => exposureAt(level, frame))) continue;
    const open = runs.at(-1);
    if (open && open[1] === frame - 1) open[1] = frame;
    else runs.push([frame, frame]);
  }
  return runs;
}

const placeOf = ({ level, drawing, message, bbox, key }: FixFinding): ReadyPlace => ({
  level,
  drawing,
  says: message,
  bbox,
  finding: key,
});

/** A finding that is a note already stands with the notes, one that was dismissed is dealt with. */
function measuredLine(
  { shot, standings, measuring, unjudged }: ReadyInput,
  checks: readonly string[],
  holds: string,
  line?: Unjudged['line'],
): Told {
  const own = standings.filter(({ finding }) => checks.includes(finding.check));
  const lacksClean = ({ check, ...at }: FixFinding): boolean => {
    const drawing = check === 'missing' ? drawingOf(shot, at) : undefined;
    return drawing !== undefined && !cleanOf(drawing);
  };
  const places = own.flatMap(({ standing, finding }) =>
    standing === 'open' && !lacksClean(finding) ? [placeOf(finding)] : [],
  );
  const dismissed = own.filter(({ standing }) => standing === 'dismissed').length;
  const noted = own.filter(({ standing }) => standing === 'noted').length;
  const parts = [holds, dismissed > 0 ? `${dismissed} dismissed` : '', noted > 0 ? `${noted} are notes` : ''];
  return {
    says: parts.filter((part) => part !== '').join('; '),
    places,
    unjudged: unjudged.flatMap(({ line: its, level, drawing, why }) =>
      its === line ? [{ level, drawing, says: `was not judged: ${why}` }] : [],
    ),
    ...(places.length === 0 && measuring && { state: 'waits' as const }),
  };
}

const gapWords = ({ leakLeastPx, leakPx }: Tolerances): string => `gaps from ${leakLeastPx} to ${leakPx} px`;

function houseLine({ shot, house, houseFound }: ReadyInput): Told {
  if (asksNothing(house)) return { says: 'The house asks nothing of line here.', places: [] };
  const places: ReadyPlace[] = [];
  let open = 0;
  for (const { level, drawing } of all(shot)) {
    const clean = cleanOf(drawing);
    if (!clean) continue;
    const at = { level: level.name, drawing: drawing.label };
    const found = houseFound.get(clean.sha256);
    if (!found) open++;
    else if ('refused' in found) places.push({ ...at, says: `could not be judged: ${found.refused}` });
    else
      for (const fault of found.faults) {
        const more = fault.more > 0 ? `, and ${count(fault.more, 'place')} more` : '';
        places.push({ ...at, says: `${faultWords(fault, house)}${more}`, bbox: fault.box });
      }
  }
  return {
    says: rulesWords(house),
    places,
    ...(places.length === 0 && open > 0 && { state: 'waits' as const }),
  };
}
