/** The three engines, each where it is or can be installed. */
import { launchChromium } from './chromium.ts';
import type { Engine, EngineName } from './engine.ts';
import { ensureFirefox, launchFirefox } from './firefox.ts';
import { ensureWebKit, launchWebKit } from './webkit.ts';

const all: Readonly<Record<EngineName, { here: () => boolean; launch: () => Promise<Engine> }>> = {
  Chromium: { here: () => true, launch: launchChromium },
  WebKit: { here: () => ensureWebKit() !== undefined, launch: launchWebKit },
  Firefox: { here: () => ensureFirefox() !== undefined, launch: launchFirefox },
};

/** Those that are here; each other is named in a sentence. */
export const engines = (Object.keys(all) as EngineName[]).flatMap((name) => {
  if (all[name].here()) return [{ name, launch: all[name].launch }];
  console.warn(`${name} is not here and could not be installed: what is shown in it is left out.`);
  return [];
});
