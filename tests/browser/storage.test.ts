/** The shelf in a real browser: the contract, a full disk, lost connections, older formats, killed processes. */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { launch, launchKept, openTablet } from '../support/browser.ts';
import { callModule, type ModulePage, modulePage } from '../support/module-page.ts';
import { CASES } from '../support/shelf-contract.ts';

type Faults = typeof import('../support/shelf-faults.ts');

let browser: Browser;
let modules: ModulePage;
beforeAll(async () => {
  browser = await launch();
  modules = await modulePage(browser);
});
afterAll(async () => {
  await modules.close();
  await browser.close();
});

const fault = <K extends keyof Faults>(
  name: K,
  page = modules.page,
): Promise<Awaited<ReturnType<Faults[K]>>> => callModule(page, '/tests/support/shelf-faults.ts', name);

describe('the shelf in IndexedDB', () => {
  test.each(Object.keys(CASES))('%s', (name) =>
    callModule<void>(modules.page, '/tests/support/shelf-contract.ts', 'runOnTablet', name),
  );
});

describe('lost connections', () => {
  test('a handle that the browser closed is opened again, unnoticed', async () => {
    expect(await fault('closedHandle')).toEqual({
      value: 2,
      health: ['saved', 'pending', 'saved'],
      opened: 2,
    });
  });

  test('“connection lost” once is tried again; for ever it is told, and what was kept stays', async () => {
    expect(await fault('lostConnection')).toEqual({
      afterOneLoss: 2,
      code: 'lost',
      health: ['saved', 'pending', 'saved', 'pending', 'not saved', 'saved'],
      afterRecovery: 3,
    });
  });
});

describe('formats', () => {
  test('steps run in order, each once, and keep what is there', async () => {
    expect(await fault('migrations')).toEqual({ ran: ['2', '3', '4'], shot: 'Shot s', version: 4 });
  });
  test('a step that fails leaves the older format whole', async () => {
    expect(await fault('failingMigration')).toEqual({ code: 'lost', shot: 'Shot s', version: 1 });
  });
  test('a shelf of format 1 is read as it was written', async () => {
    const rough = { sha256: 'a'.repeat(64), width: 3, height: 2, mediaType: 'image/png', byteLength: 4 };
    expect(await fault('formatOne')).toEqual({
      // As it was, and said by nobody: by hand from the record of format 1.
      shot: {
        id: 'wind',
        title: 'Cloth in the wind',
        fps: 25,
        sizePx: [3, 2],
        levels: [{ name: '', drawings: [{ label: '12A', rough, takes: [] }], exposures: [] }],
      },
      brought: expect.toSatisfy((bodies: unknown[]) =>
        [
          { kind: 'shot', title: 'Cloth in the wind', fps: 25 },
          { kind: 'level', level: '', sheet: true },
          { kind: 'rough', level: '', drawing: '12A', image: rough },
        ].every((body) => bodies.some((one) => JSON.stringify(one) === JSON.stringify(body))),
      ),
      file: [137, 80, 78, 71],
      flip: { width: 3, height: 2, channels: 1, data: [255, 255, 40, 255, 255, 255] },
      entries: ['e1', 'e2'],
      unsent: ['e2'],
      desk: { drawing: '12A' },
      value: 'left',
    });
  });
  test('a tab with an older Fairpeg makes way for a newer one, and is told', async () => {
    expect(await fault('olderTab')).toEqual({ newer: 'Shot s', code: 'newer' });
  });
});

/**
 * A page whose origin may keep `quotaSize` bytes. Its context is new: the browser remembers for minutes how
 * much room it once found.
 */
async function withQuota(quotaSize: number, work: (page: Page, lift: () => Promise<void>) => Promise<void>) {
  const context = await openTablet(browser);
  try {
    const page = await context.newPage();
    await page.goto(modules.url);
    const cdp = await context.newCDPSession(page);
    const { origin } = new URL(modules.url);
    await cdp.send('Storage.overrideQuotaForOrigin', { origin, quotaSize });
    await work(page, async () => {
      await cdp.send('Storage.overrideQuotaForOrigin', { origin });
    });
  } finally {
    await context.close();
  }
}

describe('a full disk', () => {
  test('is told in one sentence, keeps what was there, and flip pictures make room for notes', () =>
    withQuota(24_000_000, async (page) => {
      const told = await fault('fullDisk', page);
      expect(told.code).toBe('full');
      expect(told.message).toMatch(/^The.* safe: .*\.$/);
      // 24 MB hold 48 files of half a megabyte at most.
      expect(told.kept).toBeGreaterThan(40);
      expect(told.kept).toBeLessThanOrEqual(48);
      expect(told.stillThere).toBe(told.kept);
      expect(told.unsent).toBe(1);
    }));

  test('is told too when it takes even the room for notes, and when there is room again', () =>
    withQuota(1, async (page, lift) => {
      expect(await fault('noRoomAtAll', page)).toEqual({ code: 'full', health: 'not saved' });
      await lift();
      expect(await fault('roomAgain', page)).toEqual({ health: 'saved', entries: 1 });
    }));
});

const memory = <T>(name: string, page = modules.page): Promise<T> =>
  callModule(page, '/tests/support/desk-memory.ts', name);

test('a flip picture that was let go is made again from its file, and kept again', async () => {
  // The bar by hand: rows 1 and 2, columns 2 to 4, are ink.
  const ink = (y: number, x: number): boolean => y >= 1 && y <= 2 && x >= 2 && x <= 4;
  const grey = Array.from({ length: 35 }, (_, n) => (ink(Math.floor(n / 7), n % 7) ? 0 : 255));
  const bar = { width: 7, height: 5, channels: 1, data: grey };
  expect(await memory('flipMadeAgain')).toEqual({ gone: null, again: bar, kept: bar });
});

test('a visit that died on screen halves what the next may hold decoded; one that ended does not', async () => {
  const context = await openTablet(browser);
  const visit = async (): Promise<{ page: Page; bytes: number }> => {
    const page = await context.newPage();
    await page.goto(modules.url);
    return { page, bytes: await memory<number>('budget', page) };
  };
  try {
    const first = await visit();
    expect(first.bytes).toBe(300e6);
    // Another tab at the same time is no dead one.
    const beside = await visit();
    expect(beside.bytes).toBe(300e6);
    await beside.page.close({ runBeforeUnload: true });
    await first.page.bringToFront();
    const crashed = first.page.waitForEvent('crash');
    const cdp = await context.newCDPSession(first.page);
    void cdp.send('Page.crash').catch(() => undefined);
    await crashed;
    const afterCrash = await visit();
    expect(afterCrash.bytes).toBe(150e6);
    await afterCrash.page.goto('about:blank');
    expect((await visit()).bytes).toBe(300e6);
  } finally {
    await context.close();
  }
});

test('killed in the middle of an intake, the shelf is whole at the next start', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'fairpeg-kill-'));
  try {
    const first = await launchKept(folder);
    const page = await first.newPage();
    await page.goto(modules.url);
    const kept = new Promise<void>((done) => {
      void page.exposeFunction('keptTwenty', () => done());
    });
    // Never finishes: it is killed.
    void fault('endlessIntake', page).catch(() => undefined);
    await kept;
    const cdp = await first.browser()?.newBrowserCDPSession();
    if (cdp === undefined) throw new Error('The browser takes no commands.');
    const closed = new Promise((done) => first.once('close', done));
    await cdp.send('Browser.crash').catch(() => undefined);
    await closed;

    const second = await launchKept(folder);
    const again = await second.newPage();
    await again.goto(modules.url);
    const found = await fault('afterKill', again);
    expect(found).toEqual({
      shots: ['whole'],
      wholeImages: 3,
      halfImages: 0,
      orphansLeft: 0,
      unsent: ['e1'],
    });
    await second.close();
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
});
