/** What is half typed outlives a redraw of its panel; what cannot be taken goes back to what holds. */
import type { Locator } from 'playwright';
import { expect, test } from 'vitest';
import { editSecond, eventually, openDesk } from './desk-app.ts';
import { app, browser, startKettle } from './kettle-browser.ts';

startKettle();

test('an edit that arrives while a field is typed in leaves what is typed', async () => {
  const page = await openDesk(browser, app);
  const panel = await editSecond(page);
  const words = page.locator('.number-words');
  let held = 2;
  /** Types, and has the hold made longer without taking the focus, as an edit from another tablet arrives. */
  const outlives = async (field: Locator, text: string): Promise<void> => {
    await field.fill(text);
    await panel
      .getByRole('button', { name: 'Hold one frame longer' })
      .evaluate((button: HTMLButtonElement) => button.click());
    await eventually(() => words.innerText()).toContain(`held ${++held}`);
    expect(await field.inputValue()).toBe(text);
  };

  const percent = panel.getByLabel('Percent of the way');
  await outlives(percent, '4');
  await percent.pressSequentially('0');
  await percent.press('Enter');
  // No drawing lies at four times the way.
  await percent.fill('400');
  await percent.press('Enter');
  await eventually(() => percent.inputValue()).toBe('40');

  const title = panel.getByLabel('Title');
  await outlives(title, 'The kettle si');
  await title.fill(' ');
  await title.press('Enter');
  await eventually(() => title.inputValue()).toBe('The kettle boils over');

  await outlives(panel.getByLabel('Your name'), 'An');
  await page.context().close();
});

test('a due date is written down once, when it is typed out; one half typed goes back', async () => {
  const page = await openDesk(browser, app);
  await page.keyboard.press('Shift+P');
  const due = page.getByLabel('Due by the evening of');
  /** What the entries on this tablet say, in any order. */
  const written = (): Promise<(string | undefined)[]> =>
    page.evaluate(async () => {
      const answer = <T>(request: IDBRequest<T>): Promise<T> =>
        new Promise((done) => request.addEventListener('success', () => done(request.result)));
      const db = await answer(indexedDB.open('fairpeg'));
      const names = [...db.objectStoreNames];
      const kept = await Promise.all(
        names.map((name) => answer(db.transaction(name).objectStore(name).getAll())),
      );
      db.close();
      const entries = kept.flat() as { body?: { kind?: string; due?: string } }[];
      return entries.flatMap(({ body }) => (body?.kind === 'plan' ? [body.due] : []));
    });
  await due.focus();
  await page.keyboard.type('12032026');
  await page.keyboard.press('Enter');
  await eventually(written).toEqual(['2026-12-03']);
  await due.focus();
  await page.keyboard.press('Backspace');
  await due.blur();
  await eventually(() => due.inputValue()).toBe('2026-12-03');
  expect(await written()).toEqual(['2026-12-03']);
  await page.context().close();
});
