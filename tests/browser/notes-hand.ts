/** What a director's hand does on the desk, and how much red pencil lies on the paper. */
import type { Page } from 'playwright';
import sharp from 'sharp';
import { until } from '../support/browser.ts';
import { type PenAt, stroke } from '../support/pointers.ts';

/** Points of the stage in shares of its width and height. */
export async function onStage(page: Page, points: readonly (readonly [number, number])[]): Promise<PenAt[]> {
  const box = await page.locator('.stage').boundingBox();
  if (!box) throw new Error('There is no stage.');
  return points.map(([x, y], n) => ({
    x: box.x + x * box.width,
    y: box.y + y * box.height,
    pressure: 0.3 + (0.4 * n) / points.length,
  }));
}

/** A stroke across an empty part of the kettle's paper. */
export const slant = (x: number, y: number): [number, number][] =>
  Array.from({ length: 8 }, (_, n) => [x + n * 0.012, y + n * 0.008]);

export async function draw(page: Page, points: readonly (readonly [number, number])[]): Promise<void> {
  await stroke(page, await onStage(page, points));
}

/**
 * Red pixels on the stage, and where they lie on average in shares of its width and height. `faint` counts
 * those that show through too.
 */
export async function redInk(page: Page, faint = false): Promise<{ count: number; x: number; y: number }> {
  const box = await page.locator('.stage').boundingBox();
  if (!box) throw new Error('There is no stage.');
  const png = await page.screenshot({ clip: box, scale: 'css' });
  const { data, info } = await sharp(png).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  let [count, x, y] = [0, 0, 0];
  // The tray's red pencil lies at the edge.
  for (let row = 0; row < info.height; row++)
    for (let column = Math.round(0.1 * info.width); column < 0.75 * info.width; column++) {
      const at = 3 * (row * info.width + column);
      const [r = 0, g = 0, b = 0] = data.subarray(at, at + 3);
      if (faint ? r - g < 30 || r - b < 30 : r < 150 || g > 90 || b > 90) continue;
      count++;
      x += column;
      y += row;
    }
  return { count, x: x / count / info.width, y: y / count / info.height };
}

/** Takes every entry, the note in the works and the place on the desk from the disk, with no desk open meanwhile. */
export async function cleared(page: Page, url: string): Promise<void> {
  await page.goto(new URL('icons/mark-180.png', url).href);
  await page.evaluate(async () => {
    for (const { name = '' } of await indexedDB.databases())
      await new Promise<void>((done, failed) => {
        const opening = indexedDB.open(name);
        opening.onerror = () => failed(opening.error);
        opening.onsuccess = () => {
          const db = opening.result;
          const change = db.transaction([...db.objectStoreNames], 'readwrite');
          for (const store of db.objectStoreNames)
            change.objectStore(store).openKeyCursor().onsuccess = ({ target }) => {
              const cursor = (target as IDBRequest<IDBCursor | null>).result;
              if (!cursor) return;
              if (/^\["(entry|unsent|desk|value","notes in the works)/.test(JSON.stringify(cursor.key)))
                change.objectStore(store).delete(cursor.primaryKey);
              cursor.continue();
            };
          change.oncomplete = () => {
            db.close();
            done();
          };
          change.onabort = () => failed(change.error);
        };
      });
  });
}

/** Strokes of the draft that lie on the disk, whatever the page still holds in its hand. */
export const keptStrokes = async (page: Page): Promise<number> => {
  const works = (await kept(page, 'notes in the works')) as { draft?: { steps: unknown[] } } | undefined;
  return works?.draft?.steps.length ?? 0;
};

/** What lies on the disk under the first key that has `part` in it. */
export const kept = (page: Page, part: string): Promise<unknown> =>
  page.evaluate(async (part) => {
    const asked = <T>(request: IDBRequest<T>): Promise<T> =>
      new Promise((done, failed) => {
        request.onsuccess = () => done(request.result);
        request.onerror = () => failed(request.error);
      });
    for (const { name = '' } of await indexedDB.databases()) {
      const db = await asked(indexedDB.open(name));
      for (const store of db.objectStoreNames) {
        const at = db.transaction(store).objectStore(store);
        for (const key of await asked(at.getAllKeys())) {
          if (!JSON.stringify(key).includes(part)) continue;
          const value = await asked<unknown>(at.get(key));
          db.close();
          return value;
        }
      }
      db.close();
    }
    return undefined;
  }, part);

export async function openNotes(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Notes beside the paper' }).tap();
  await page.getByRole('complementary', { name: 'Notes' }).waitFor();
}

export async function pinIt(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Pin it' }).tap();
  await until(page, () => !document.querySelector('.composer, .pin-it'), undefined);
}

export const slips = (page: Page): Promise<string[]> => page.locator('.slip-text').allInnerTexts();
