/** The Chromium that all other browser tests use, as one of three. */
import { launch, openTablet } from '../support/browser.ts';
import { drag, stroke, tap } from '../support/pointers.ts';
import type { Engine } from './engine.ts';

export async function launchChromium(): Promise<Engine> {
  const browser = await launch();
  const page = await (await openTablet(browser)).newPage();
  return {
    name: 'Chromium',
    goto: (url) => page.goto(url),
    back: () => page.goBack(),
    evaluate: (look, ...args) => page.evaluate(`(${String(look)})(...${JSON.stringify(args)})`),
    async press(...keys) {
      for (const key of keys)
        await (/^([A-Z][A-Za-z]+|.)$/.test(key) ? page.keyboard.press(key) : page.keyboard.type(key));
    },
    async stroke(pointer, way) {
      const [first] = way;
      if (pointer !== 'touch') await stroke(page, way, pointer);
      else if (first && way.length === 1) await tap(page, first);
      else await drag(page, [way]);
    },
    screenshot: () => page.screenshot({ scale: 'css' }),
    end: () => browser.close(),
  };
}
