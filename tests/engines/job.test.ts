/**
 * The main job in three engines: a shot opened and flipped, a note drawn and found again, findings, the fix list, a
 * shot taken in, notes sent to a studio and coming from it, a start with the host gone. `npm run test:engines` does all
 * of it; `npm test` the first part, in WebKit, where the pen once stuck.
 */
import { cpSync, mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type KettleApp, kettleApp, kettleFiles, title } from '../browser/desk-app.ts';
import { killServer, type OwnServer, startServer } from '../fault/killed-server.ts';
import { builtApp } from '../support/built-app.ts';
import { temporaryFolder } from '../support/studio-server.ts';
import { drawn } from '../unit/intake/make.ts';
import { engines } from './all.ts';
import { untilThere } from './ended.ts';
import type { Engine } from './engine.ts';
import { handIn } from './hand.ts';

const whole = process.env['FAIRPEG_ENGINES'] === 'whole';
const slant = (x: number, y: number): [number, number][] =>
  Array.from({ length: 8 }, (_, n) => [x + n * 0.012, y + n * 0.008]);

const words = 'the spout is thin';

/** What each engine found on the same drawings, to be the same. */
const findingsIn = new Map<string, readonly string[]>();

describe.each(engines.filter(({ name }) => whole || name === 'WebKit'))(
  'the main job in $name',
  ({ name, launch }) => {
    let app: KettleApp;
    let engine: Engine;
    let hand: ReturnType<typeof handIn>;
    beforeAll(async () => {
      [app, engine] = await Promise.all([kettleApp(), launch()]);
      hand = handIn(engine);
    });
    afterAll(async () => {
      await engine?.end();
      await app?.close();
    });

    test('a shot is opened and flipped, by keys, by the strip and by a finger on the paper', async () => {
      await engine.goto(app.server.url);
      await hand.there({ selector: 'h2, h3', text: title });
      await engine.goto(`${app.server.url}#/shot/sample-kettle`);
      await hand.onPaper('1');
      await engine.press('ArrowRight');
      await hand.onPaper('2');
      await engine.press('End');
      await hand.onPaper('7');
      // WebKit's driver sends a finger as a mouse; either flips.
      const [x, y] = await stagePoint(0.3, 0.8);
      await engine.stroke(
        'touch',
        Array.from({ length: 6 }, (_, n) => ({ x: x - n * 8, y })),
      );
      await hand.there({ selector: '.number:not([data-shown="7"])' });
      await engine.press('Home', '2');
      await hand.onPaper('1', 'rough');
      await engine.press('1');
    });

    async function stagePoint(x: number, y: number): Promise<readonly [number, number]> {
      const box = await engine.evaluate(() => {
        const { left, top, width, height } = (
          document.querySelector('.stage') as Element
        ).getBoundingClientRect();
        return { left, top, width, height };
      });
      return [box.left + x * box.width, box.top + y * box.height];
    }

    /** From an empty paper: two strokes, words, a name where one is asked for, pinned. */
    async function pinned(): Promise<void> {
      await hand.draw(slant(0.2, 0.7));
      await hand.draw(slant(0.3, 0.7));
      await hand.tap('button', 'Notes beside the paper');
      await expect
        .poll(() => engine.evaluate(() => document.querySelectorAll('.composer .scrawl path').length), {
          timeout: 30_000,
        })
        .toBe(2);
      // The tools come back when the pen has left.
      await hand.there({ selector: '.desk:not(.working)' });
      await hand.tap('.composer textarea');
      await engine.press(words);
      if (await hand.isThere({ selector: '.composer input' })) {
        await hand.tap('.composer input');
        await engine.press('Ansa');
      }
      await hand.tap('button', 'Pin it');
      await hand.there({ selector: '.slip-text', text: words });
      await hand.there({ selector: '.saved-sign', text: 'saved' });
    }

    test('two strokes of the pen start a note; pinned, it is there after a reload', async () => {
      await hand.onPaper('1');
      await pinned();
      await engine.goto(`${app.server.url}?again#/shot/sample-kettle`);
      await hand.there({ selector: '.slip-text', text: words });
    });

    test.runIf(whole)('the drawings are measured, and found alike in every engine', async () => {
      await hand.tap('button', 'Checks beside the paper');
      await hand.there({ selector: '.how-far p', text: 'All ' });
      const said = await hand.texts('.finding');
      for (const [other, theirs] of findingsIn) expect(said, `${name} against ${other}`).toEqual(theirs);
      findingsIn.set(name, said);
    });

    test.runIf(whole)('the note stands on the fix list', async () => {
      await hand.tap('button', 'Fix list');
      await hand.there({ selector: '.fix-text', text: words });
      await engine.press('Escape');
    });

    test.runIf(whole)('a shot is taken in, and opens', async () => {
      await engine.goto(`${app.server.url}?intake#/`);
      await hand.there({ selector: 'button', text: 'Drawings or a zip' });
      const files = await Promise.all(
        ['rough', 'clean'].flatMap((layer, k) =>
          [1, 2, 3].map(async (n) => ({
            path: `gull_${layer}_000${n}.png`,
            base64: Buffer.from(await drawn(40 + n * 2 + k)).toString('base64'),
          })),
        ),
      );
      await hand.choose('[data-pick=files]', files);
      await hand.tap('.taken a');
      await hand.there({ selector: '.number[data-shown="1"]:not([data-quality=thumb])' });
      await engine.press('End');
      await hand.there({ selector: '.number[data-shown="3"]:not([data-quality=thumb])' });
    });

    test.runIf(whole)('with the host gone, the app starts, and the shot and its note are there', async () => {
      await expect
        .poll(() => engine.evaluate(() => navigator.serviceWorker.controller?.state ?? null), {
          timeout: 90_000,
        })
        .toBe('activated');
      await app.server.stop();
      await engine.goto(`${app.server.url}#/`);
      await engine.goto(`${app.server.url}#/shot/sample-kettle`);
      await engine.evaluate(() => location.reload());
      await hand.onPaper('1');
      await hand.there({ selector: '.slip-text', text: words });
      await app.server.start();
    });

    test.runIf(whole)('a note goes to the studio, and an answer comes from it by itself', async () => {
      const folder = temporaryFolder();
      let studio: OwnServer | undefined;
      try {
        cpSync(await builtApp(), join(folder, 'app'), {
          recursive: true,
          filter: (path) => !/[/\\]samples[/\\]./.test(path),
        });
        mkdirSync(join(folder, 'app/samples'), { recursive: true });
        writeFileSync(join(folder, 'app/samples/index.json'), '{"shots":[]}');
        for (const [path, data] of await kettleFiles()) {
          mkdirSync(dirname(join(folder, 'shots/kettle', path)), { recursive: true });
          writeFileSync(join(folder, 'shots/kettle', path), data);
        }
        studio = await startServer(join(folder, 'data'), 0, [
          '--app',
          join(folder, 'app'),
          '--shots',
          join(folder, 'shots'),
        ]);
        const { url } = studio;
        await engine.goto(url.href);
        await hand.tap('button', `Keep ${title} on this tablet`);
        await hand.there({ selector: '.shots h2, .shots h3', text: title });
        await hand.tap('.shots a', title);
        await hand.onPaper('1');
        await pinned();
        await hand.there({ selector: '.studio-sign', text: 'all sent' });
        const shots = (await (await fetch(new URL('api/shots', url))).json()) as {
          shots: readonly { id: string }[];
        };
        const shot = shots.shots[0]?.id ?? '';
        const pin = await untilThere(`${name}: the note never came to the studio`, 90_000, async () => {
          const page = (await (await fetch(new URL(`api/entries?shot=${shot}`, url))).json()) as {
            entries: readonly { id: string; body: { kind: string; text?: string; strokes?: unknown[] } }[];
          };
          return page.entries.find(({ body }) => body.kind === 'pin');
        });
        expect(pin.body).toMatchObject({ text: words });
        expect(pin.body.strokes).toHaveLength(2);
        const answer = {
          v: 1,
          id: `answer to ${name}`,
          shot,
          writer: { id: 'person-2', name: 'Bela', role: 'artist' },
          stamp: { wallMs: Date.now(), counter: 0 },
          body: { kind: 'reply', to: pin.id, text: 'As in drawing 3, then.' },
        };
        await fetch(new URL('api/entries', url), {
          method: 'POST',
          headers: { 'content-type': 'application/x-ndjson' },
          body: JSON.stringify(answer),
        });
        await expect
          .poll(() => hand.texts('.slip').then(String), { timeout: 60_000 })
          .toContain('As in drawing 3, then.');
      } finally {
        if (studio) await killServer(studio);
        rmSync(folder, { recursive: true, force: true });
      }
    });
  },
);
