/** Screens for everyone: what axe-core finds, and what is too small for a finger. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { AxeResults } from 'axe-core';
import type { Page } from 'playwright';
import { until } from '../support/browser.ts';

const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** Rule and place of everything axe-core finds against WCAG 2.2 A and AA and its best practices. */
export async function found(page: Page): Promise<string[]> {
  // What recedes while a hand works is judged when it has come back.
  await until(
    page,
    () =>
      document.querySelector('.working') === null &&
      document.getAnimations().every(({ playState }) => playState !== 'running'),
  );
  await page.evaluate(axeSource);
  const results = await page.evaluate(() =>
    (globalThis as unknown as { axe: { run(): Promise<AxeResults> } }).axe.run(),
  );
  return results.violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id}: ${target.join(' ')}: ${failureSummary ?? ''}`),
  );
}

/** Every button and link in view that is smaller than a finger needs. */
export const small = (page: Page): Promise<string[]> =>
  page.evaluate(() =>
    [
      ...document.querySelectorAll<HTMLElement>(
        'button, a, select, textarea, [role=slider], input:not([hidden])',
      ),
    ]
      .filter((element) => element.offsetParent !== null)
      .flatMap((element) => {
        const { width, height } = element.getBoundingClientRect();
        // Links within a sentence are let off by WCAG 2.5.8; these are buttons of at least the height.
        const inText = element.classList.contains('in-text');
        const inLabel = element.matches('label input');
        return height < 44 && !inLabel
          ? [`${element.outerHTML.slice(0, 80)} ${width}×${height}`]
          : width < 44 && !inText && !inLabel
            ? [`${element.outerHTML.slice(0, 80)} ${width}×${height}`]
            : [];
      }),
  );
