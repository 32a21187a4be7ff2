/** A browser and the built app with the kettle shot, for all tests of a file. */
import type { Browser } from 'playwright';
import { afterAll, beforeAll } from 'vitest';
import { launch } from '../support/browser.ts';
import { type KettleApp, kettleApp } from './desk-app.ts';

/** At hand from the first hook after `startKettle` on. */
export let browser: Browser;
export let app: KettleApp;

/** Starts both before the tests of the file and ends them after. */
export function startKettle(): void {
  beforeAll(async () => {
    [browser, app] = await Promise.all([launch(), kettleApp()]);
  }, 300_000);
  afterAll(async () => {
    await browser.close();
    await app.close();
  });
}
