/** Listens for hints (server-sent events, WHATWG HTML 9.2) over `fetch`, so that a dead stream is noticed. */
import * as v from 'valibot';
import { type Hint, hintSchema, silentStreamMs } from '../wire/hints.ts';
import type { Platform } from './platform.ts';
import type { Studio } from './studio.ts';

/**
 * Resolves when the stream ends, breaks or falls silent, or when `signal` aborts; the caller opens it again.
 * Rejects when it cannot be opened.
 */
export async function listen(
  studio: Studio,
  platform: Platform,
  signal: AbortSignal,
  told: { readonly open: () => void; readonly hint: (hint: Hint) => void },
): Promise<void> {
  const silence = new AbortController();
  const response = await studio.live(AbortSignal.any([signal, silence.signal]));
  if (!response.body) return;
  const reader = response.body.getReader();
  const decoder = new TextDecoder();
  let text = '';
  let stopTimer = (): void => undefined;
  told.open();
  try {
    for (;;) {
      stopTimer();
      stopTimer = platform.after(silentStreamMs, () => silence.abort());
      const { value, done } = await reader.read();
      if (done) return;
      text += decoder.decode(value, { stream: true });
      const blocks = text.split('\n\n');
      text = blocks.pop() ?? '';
      for (const hint of blocks.flatMap(readHint)) told.hint(hint);
    }
  } catch {
    // Broken off: told by returning.
  } finally {
    stopTimer();
    reader.cancel().catch(() => undefined);
  }
}

/** Comments (heartbeats) and hints of later versions say nothing. */
function readHint(block: string): Hint[] {
  const data = block
    .split('\n')
    .filter((line) => line.startsWith('data:'))
    .map((line) => line.slice(5).trimStart())
    .join('\n');
  if (data === '') return [];
  try {
    const parsed = v.safeParse(hintSchema, JSON.parse(data));
    return parsed.success ? [parsed.output] : [];
  } catch {
    return [];
  }
}
