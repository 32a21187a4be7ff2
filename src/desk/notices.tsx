/** What was just done (with the way back), what runs slower than asked and why, and what is not saved. */
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { Icon } from './icons.tsx';
import { useSession } from './session-context.ts';
import { setTable, table } from './table.ts';

/** Long enough to read and reach; the Undo button and key stay after it. */
const noticeMs = 7000;

export function Notices(): JSX.Element {
  return (
    <div class="notices">
      <NotSaved />
      <FlashCaution />
      <LatestNotice />
    </div>
  );
}

function LatestNotice(): JSX.Element {
  const session = useSession();
  const notice = session.notice.value;
  useEffect(() => {
    if (!notice) return;
    return session.clock.after(noticeMs, () => {
      if (session.notice.peek() === notice) session.notice.value = undefined;
    });
  }, [notice, session]);
  return (
    <div role="status" class="notice-place">
      {notice && (
        <p class="notice">
          {notice.says}
          {notice.action && (
            <button type="button" class="in-text" onClick={notice.action.run}>
              {notice.action.label}
            </button>
          )}
        </p>
      )}
    </div>
  );
}

function FlashCaution(): JSX.Element | null {
  const session = useSession();
  const caution = session.caution.value;
  if (!caution || session.model.value.motion === 'still') return null;
  const rate = (perSecond: number): string => String(Math.round(perSecond * 10) / 10);
  return (
    <div role="alert" class="notice wants">
      <p>
        <Icon name="warn" />
        Held to {rate(caution.heldToPerSecond)} a second instead of {rate(caution.askedPerSecond)}: faster,
        these drawings would flash.
      </p>
      {!table.value.cautionRead && (
        <p>
          Flashing pictures can bring on seizures in people with photosensitive epilepsy. The limit is that of
          WCAG 2.2, 2.3.1; it is no medical advice. Before others see a flashing shot, ask a professional.{' '}
          <button type="button" class="in-text" onClick={() => setTable({ cautionRead: true })}>
            Understood
          </button>
        </p>
      )}
    </div>
  );
}

function NotSaved(): JSX.Element | null {
  const session = useSession();
  const trouble = session.ledger.trouble.value;
  useEffect(() => {
    if (!trouble) return;
    // The browser asks before the page goes, as what waits stands nowhere else.
    const ask = (event: BeforeUnloadEvent): void => event.preventDefault();
    addEventListener('beforeunload', ask);
    return () => removeEventListener('beforeunload', ask);
  }, [trouble]);
  if (!trouble) return null;
  const waiting = session.ledger.waiting.value;
  const saveToFile = (): void => {
    const file = new Blob([JSON.stringify(waiting, undefined, 1)], { type: 'application/json' });
    const link = document.createElement('a');
    link.href = URL.createObjectURL(file);
    link.download = `${session.shot.peek().title} - edits not saved.json`;
    link.click();
    session.clock.after(10_000, () => URL.revokeObjectURL(link.href));
  };
  return (
    <div role="alert" class="notice wants">
      <p>
        <Icon name="warn" />
        <strong>Not saved.</strong> {trouble} Your last {waiting.length === 1 ? 'edit is' : 'edits are'} still
        on this screen; leave it open.
      </p>
      <p>
        <button type="button" class="in-text" onClick={() => void session.ledger.flush()}>
          Try again
        </button>
        {waiting.length > 0 && (
          <button type="button" class="in-text" onClick={saveToFile}>
            Save them to a file
          </button>
        )}
      </p>
    </div>
  );
}
