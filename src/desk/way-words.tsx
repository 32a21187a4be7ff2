/** What is being looked at, in words; silent while it is the clean drawing alone. */
import type { JSX } from 'preact';
import { commandById } from './commands.ts';
import { compareOf } from './model.ts';
import type { Session } from './session.ts';
import { useSession } from './session-context.ts';

/** What the two layers are called: clean and rough, unless something else lies on the paper. */
export function layerWords(session: Session, layer: 'clean' | 'rough'): string {
  return session.laid.value?.words(layer) ?? (layer === 'clean' ? 'Clean' : 'Rough');
}

export function WayWords(): JSX.Element | null {
  const session = useSession();
  const compare = compareOf(session.model.value);
  const laid = session.laid.value?.words(compare.way);
  const [clean, rough] = [layerWords(session, 'clean'), layerWords(session, 'rough')];
  switch (compare.way) {
    case 'clean':
      return laid ? <span class="way-words">{laid}</span> : null;
    case 'underlay': {
      const percent = Math.round(compare.opacity * 100);
      return (
        <span class="way-words">
          {laid ?? 'Rough under clean'}, {percent} %
          {percent <= 10 && <span class="way-more">: faint, where the lines part</span>}
        </span>
      );
    }
    case 'side by side': {
      if (laid) return <span class="way-words">{laid}</span>;
      // The stage has the say where they stand, and is asked again when its camera was told.
      void session.camera.value;
      return session.stage.value?.isStacked() ? (
        <span class="way-words">
          {clean} above, {rough.toLowerCase()} below
        </span>
      ) : (
        <span class="way-words">
          {rough} left, {clean.toLowerCase()} right
        </span>
      );
    }
    case 'wipe':
      if (laid) return <span class="way-words">{laid}</span>;
      return (
        <span class="way-words">
          {rough} left, {clean.toLowerCase()} right of the line
        </span>
      );
    case 'difference':
      return (
        <span class="way-words difference-key">
          {laid && <>{laid} </>}
          <Swatch kind="solid" /> only {clean.toLowerCase()} <Swatch kind="hatched" /> only{' '}
          {rough.toLowerCase()} <Swatch kind="pale" /> both
        </span>
      );
    default:
      return <span class="way-words">{laid ?? commandById(`way ${compare.way}`).label}</span>;
  }
}

/** As the stage draws them (`stage/shaders.ts`). */
function Swatch({ kind }: { kind: 'solid' | 'hatched' | 'pale' }): JSX.Element {
  return (
    <svg class={`swatch ${kind}`} width="34" height="14" viewBox="0 0 34 14" aria-hidden="true">
      <rect width="34" height="14" rx="2" />
      <path d="M3 10C10 2 22 13 31 5" />
    </svg>
  );
}
