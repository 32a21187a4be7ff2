/** The small honest sign: all sent, so many waiting (for a tablet of their writer's), not saved, kept on this tablet. Leads to the studio's screen. */
import type { JSX } from 'preact';
import type { Sign } from '../../sync/sync.ts';
import type { Studio } from './studio.ts';

export function signWords(sign: Sign | undefined): string {
  if (!sign) return 'kept on this tablet';
  if (sign.is === 'waiting') return `${sign.count} waiting`;
  return sign.is === 'waiting for others' ? `${sign.count} waiting for their writer` : sign.is;
}

export function StudioSign({ studio }: { studio: Studio }): JSX.Element {
  const sync = studio.sync.value;
  const sign = sync?.sign.value;
  const refused = sync?.refused.value.length ?? 0;
  const wants = sign?.is === 'not saved' || refused > 0 || sync?.link.value === 'no pass';
  return (
    <a class={wants ? 'studio-sign wants' : 'studio-sign'} href="#/studio">
      <span role="status">{signWords(sign)}</span>
      {refused > 0 && <span>, {refused} turned down</span>}
      {sync?.link.value === 'no pass' && <span>, code wanted</span>}
    </a>
  );
}
