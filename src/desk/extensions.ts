/**
 * Where other rooms of the desk (notes, findings, the fix list) put what is theirs: a side panel with its
 * button, something lying on the paper, something beside the exposure sheet, commands. Registered once, when
 * the room is loaded.
 */
import type { Signal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { addCommands, type Command, commands } from './commands.ts';
import type { Session } from './session.ts';

export interface Panel {
  readonly id: string;
  readonly label: string;
  /** The command whose button and key open it. */
  readonly command: Command;
  /** It covers the whole desk instead of standing beside the paper. */
  readonly whole?: true;
  readonly Body: ComponentType<{ readonly session: Session }>;
}

/** What the exposure sheet shows of its rows (`sheet-view.ts`), so that what runs beside it runs along. */
export interface RowsInView {
  /** Rows above the view. */
  readonly top: number;
  readonly heightPx: number;
  readonly rowPx: number;
  readonly frames: number;
}

/**
 * Lies over the paper (`'paper'`, in the stage's CSS px), runs beside the sheet (`'sheet'`, frames down), stands in the
 * head, or in the line under the paper (`'line'`), which is never higher than it is.
 */
export interface Overlay {
  readonly id: string;
  readonly where: 'paper' | 'sheet' | 'head' | 'line';
  /**
   * Whether it stands in the line: `'first'` before the settings of what is in force, `'else'` where none stand open. One
   * stands there at a time. May read signals.
   */
  readonly wanted?: (session: Session) => 'first' | 'else' | undefined;
  /** `rows` comes to what stands by the sheet. */
  readonly Body: ComponentType<{ readonly session: Session; readonly rows?: RowsInView }>;
}

const panels: Panel[] = [];
const overlays: Overlay[] = [];

export function addPanel(panel: Panel): void {
  panels.push(panel);
  // A panel opened by a command of the desk itself brings none.
  if (!commands.includes(panel.command)) addCommands([panel.command]);
}

/** The command of a panel: opens it, and closes it again. */
export const panelCommand = (command: Omit<Command, 'run' | 'on'>): Command => ({
  ...command,
  run({ panel }) {
    panel.value = panel.peek() === command.id ? undefined : command.id;
  },
  on: ({ panel }) => panel.value === command.id,
});

/** The command of a switch: on, and off again. */
export const switchCommand = (
  command: Omit<Command, 'run' | 'on'>,
  switchOf: (session: Session) => Signal<boolean>,
): Command => ({
  ...command,
  run(session) {
    const which = switchOf(session);
    which.value = !which.peek();
  },
  on: (session) => switchOf(session).value,
});

export function addOverlay(overlay: Overlay): void {
  overlays.push(overlay);
}

export function allPanels(): readonly Panel[] {
  return panels;
}

/** The panel that covers the desk, when the one that stands open does. */
export function wholePanelOf(open: string | undefined): Panel | undefined {
  return panels.find(({ id, whole }) => whole && id === open);
}

export function overlaysOn(where: Overlay['where']): readonly Overlay[] {
  return overlays.filter((overlay) => overlay.where === where);
}
