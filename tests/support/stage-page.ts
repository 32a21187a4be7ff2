/** A page in which `stageHarness` (see stage-harness.ts) is at hand. */
import type { Page } from 'playwright';
import { until } from './browser.ts';
import type { ModulePage } from './module-page.ts';

declare global {
  var stageHarness: typeof import('./stage-harness.ts');
  /** The harness a test left for its next look into the page. */
  var desk: import('./stage-harness.ts').Harness;
}

/** Small by default: without a graphics card every pixel is drawn by the processor. */
export async function stagePage(tab: ModulePage, width = 480, height = 320): Promise<Page> {
  const page = await tab.another();
  await page.setViewportSize({ width, height });
  await page.addScriptTag({
    type: 'module',
    content: "globalThis.stageHarness = await import('/tests/support/stage-harness.ts');",
  });
  await until(page, () => 'stageHarness' in globalThis);
  return page;
}
