/**
 * WebKit as Debian has it, driven by plain WebDriver (W3C WebDriver, `webkit2gtk-driver`) over `fetch`. Its storage
 * lives as long as the session does.
 */
import { existsSync, readdirSync } from 'node:fs';
import { aptInstall, thisInstaller } from '../support/debian.ts';
import { freePort } from '../support/free-port.ts';
import { start, untilThere } from './ended.ts';
import { type Engine, keyActions, strokeActions } from './engine.ts';
import { openScreen } from './xvfb.ts';

const found = (): string | undefined => {
  if (!['/usr/bin/WebKitWebDriver', '/usr/bin/Xvfb'].every((path) => existsSync(path))) return undefined;
  return readdirSync('/usr/lib')
    .map((folder) => `/usr/lib/${folder}/webkit2gtk-4.1/MiniBrowser`)
    .find((path) => existsSync(path));
};

/** The browser's path, after installing it where it is not; undefined where that cannot be. */
export function ensureWebKit(installer = thisInstaller()): string | undefined {
  return found() ?? (aptInstall(installer, 'webkit2gtk-driver', 'xvfb') ? found() : undefined);
}

export async function launchWebKit(): Promise<Engine> {
  const browser = ensureWebKit();
  if (browser === undefined)
    throw new Error(
      'WebKit is not here and could not be installed: as root, apt-get install webkit2gtk-driver xvfb.',
    );
  const screen = await openScreen();
  const port = await freePort();
  const driver = start('WebKitWebDriver', [`--port=${port}`], {
    ...process.env,
    DISPLAY: screen.name,
    WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS: '1',
    GDK_BACKEND: 'x11',
  });
  const end = async (): Promise<void> => {
    await driver.end();
    await screen.end();
  };
  const ask = async (method: string, path: string, body?: unknown): Promise<unknown> => {
    const response = await fetch(`http://127.0.0.1:${port}${path}`, {
      method,
      ...(body !== undefined && { body: JSON.stringify(body) }),
    });
    const { value } = (await response.json()) as { value: unknown };
    if (!response.ok) {
      const { error, message } = value as { error: string; message: string };
      throw new Error(`${path}: ${error}: ${message}`);
    }
    return value;
  };
  try {
    await untilThere('WebKitWebDriver did not start.', 30_000, () =>
      ask('GET', '/status').catch(() => undefined),
    );
    const { sessionId } = (await ask('POST', '/session', {
      capabilities: {
        alwaysMatch: {
          'webkitgtk:browserOptions': { binary: browser, args: ['--automation'] },
          timeouts: { script: 120_000, pageLoad: 60_000 },
        },
      },
    })) as { sessionId: string };
    const command = (method: string, path: string, body?: unknown) =>
      ask(method, `/session/${sessionId}${path}`, body);
    await command('POST', '/window/rect', { x: 0, y: 0, width: 1180, height: 820 });
    return {
      name: 'WebKit',
      goto: (url) => command('POST', '/url', { url }),
      back: () => command('POST', '/back', {}),
      async evaluate(look, ...args) {
        const answer = (await command('POST', '/execute/async', {
          script: `const done = arguments[arguments.length - 1]; const args = Array.from(arguments).slice(0, -1);
            Promise.resolve().then(() => (${String(look)})(...args)).then((value) => done({ value }), (error) => done({ error: String(error) }));`,
          args,
        })) as { value: never; error?: string };
        if (answer.error !== undefined) throw new Error(answer.error);
        return answer.value;
      },
      press: (...keys) => command('POST', '/actions', { actions: keyActions(keys) }),
      stroke: (pointer, way) => command('POST', '/actions', { actions: strokeActions(pointer, way) }),
      async screenshot(): Promise<Buffer> {
        return Buffer.from((await command('GET', '/screenshot')) as string, 'base64');
      },
      async end() {
        await command('DELETE', '').catch(() => undefined);
        await end();
      },
    };
  } catch (error) {
    await end();
    throw error;
  }
}
