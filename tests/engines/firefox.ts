/** Firefox as Debian has it, driven by WebDriver BiDi over its web socket. Under a screen in memory it has WebGL2. */
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { WebSocket } from 'ws';
import { aptInstall, thisInstaller } from '../support/debian.ts';
import { start, untilThere } from './ended.ts';
import { type Engine, keyActions, strokeActions } from './engine.ts';
import { openScreen } from './xvfb.ts';

const places = ['/usr/bin/firefox-esr', '/usr/bin/firefox'];

const found = (): string | undefined =>
  existsSync('/usr/bin/Xvfb') ? places.find((path) => existsSync(path)) : undefined;

/** The browser's path, after installing it where it is not; undefined where that cannot be. */
export function ensureFirefox(installer = thisInstaller()): string | undefined {
  return found() ?? (aptInstall(installer, 'firefox-esr', 'xvfb') ? found() : undefined);
}

/** Nothing asked, nothing fetched; a page may have the focus though no one looks. */
const settings = {
  'app.update.enabled': false,
  'browser.shell.checkDefaultBrowser': false,
  'datareporting.policy.dataSubmissionEnabled': false,
  'focusmanager.testmode': true,
  'toolkit.telemetry.enabled': false,
  'network.captive-portal-service.enabled': false,
  'network.connectivity-service.enabled': false,
  'webgl.force-enabled': true,
};

export async function launchFirefox(): Promise<Engine> {
  const browser = ensureFirefox();
  if (browser === undefined)
    throw new Error(
      'Firefox is not here and could not be installed: as root, apt-get install firefox-esr xvfb.',
    );
  const screen = await openScreen();
  const profile = mkdtempSync(join(tmpdir(), 'fairpeg-firefox-'));
  const lines = Object.entries(settings).map(([key, value]) => `user_pref("${key}", ${String(value)});\n`);
  writeFileSync(join(profile, 'user.js'), lines.join(''));
  const process_ = start(
    browser,
    [
      '--remote-debugging-port=0',
      '--no-remote',
      '--profile',
      profile,
      '--width=1180',
      '--height=960',
      'about:blank',
    ],
    { ...process.env, DISPLAY: screen.name, HOME: profile, MOZ_DISABLE_CONTENT_SANDBOX: '1' },
  );
  let socket: WebSocket | undefined;
  const end = async (): Promise<void> => {
    socket?.terminate();
    await process_.end();
    await screen.end();
    rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
  };
  try {
    const address = await untilThere(
      'Firefox did not start.',
      60_000,
      () => /WebDriver BiDi listening on (ws:\/\/\S+)/.exec(process_.said())?.[1],
    );
    socket = new WebSocket(`${address}/session`);
    const send = await talk(socket);
    await send('session.new', { capabilities: { alwaysMatch: { acceptInsecureCerts: true } } });
    // The first tab never has the focus.
    const { context } = (await send('browsingContext.create', { type: 'tab' })) as { context: string };
    await send('browsingContext.setViewport', { context, viewport: { width: 1180, height: 820 } });
    return {
      name: 'Firefox',
      goto: (url) => send('browsingContext.navigate', { context, url, wait: 'complete' }),
      back: () => send('browsingContext.traverseHistory', { context, delta: -1 }),
      async evaluate(look, ...args) {
        const answer = (await send('script.callFunction', {
          target: { context },
          awaitPromise: true,
          userActivation: true,
          functionDeclaration: `async (text) => JSON.stringify({ value: await (${String(look)})(...JSON.parse(text)) })`,
          arguments: [{ type: 'string', value: JSON.stringify(args) }],
        })) as { type: string; result: { value: string }; exceptionDetails?: { text: string } };
        if (answer.exceptionDetails) throw new Error(answer.exceptionDetails.text);
        return JSON.parse(answer.result.value).value;
      },
      press: (...keys) => send('input.performActions', { context, actions: keyActions(keys) }),
      stroke: (pointer, way) =>
        send('input.performActions', { context, actions: strokeActions(pointer, way) }),
      async screenshot() {
        const { data } = (await send('browsingContext.captureScreenshot', { context })) as { data: string };
        return Buffer.from(data, 'base64');
      },
      end,
    };
  } catch (error) {
    await end();
    throw error;
  }
}

/** Commands and their answers, matched by number. */
async function talk(socket: WebSocket) {
  const waiting = new Map<number, (answer: { error?: string; message?: string; result?: unknown }) => void>();
  let last = 0;
  await new Promise((done, failed) => socket.once('open', done).once('error', failed));
  socket.on('message', (data: Buffer) => {
    const answer = JSON.parse(data.toString()) as { id?: number; error?: string; message?: string };
    waiting.get(answer.id ?? 0)?.(answer);
    waiting.delete(answer.id ?? 0);
  });
  socket.on('close', () => {
    for (const told of waiting.values()) told({ error: 'closed', message: 'Firefox is gone.' });
  });
  return (method: string, params: unknown): Promise<unknown> =>
    new Promise((done, failed) => {
      last++;
      waiting.set(last, ({ error, message, result }) =>
        error === undefined ? done(result) : failed(new Error(`${method}: ${error}: ${message ?? ''}`)),
      );
      socket.send(JSON.stringify({ id: last, method, params }));
    });
}
