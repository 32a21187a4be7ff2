/**
 * Keeps this tablet and the studio in step: sends what waits, fetches what is new, listens for more. It works
 * in rounds; what asks for one while another runs is taken up right after. Without a studio server it is
 * quiet: everything is kept on this tablet. Longer than most files: the interface is a third, and a round, the sign and
 * the place to go on from are one state.
 */
import { batch, computed, type ReadonlySignal, signal } from '@preact/signals';
import { sentenceOf } from '../error/sentence.ts';
import type { Entry, Person } from '../note/entry.ts';
import { goesWithShot } from '../note/written.ts';
import type { Health, NewImage, Shelf } from '../shelf/types.ts';
import type { ImageRef } from '../shot/model.ts';
import type { Hint } from '../wire/hints.ts';
import type { GivenPass, Me, NewPass } from '../wire/people.ts';
import { wireVersion } from '../wire/version.ts';
import { backoffMs } from './backoff.ts';
import type { Wanted } from './images.ts';
import { listen } from './live.ts';
import { createOffers, type Offered } from './offers.ts';
import { forgetRefusals, type RefusedHere, sendOutbox, unsentHere } from './outbox.ts';
import { pagePlatform } from './page-platform.ts';
import type { Platform } from './platform.ts';
import { isUpToDate, pullShot } from './pull.ts';
import { type Fetch, studioAt } from './studio.ts';
import { StudioError } from './studio-answers.ts';
import { isSomebodys, isWrittenBy, meKey, rememberOwnId } from './whose.ts';

/** How the studio stands: `none` there is no server here, `offline` there was one, `no pass` it wants a code. */
export type Link = 'unknown' | 'none' | 'offline' | 'no pass' | 'online';

/** The small honest sign. */
export type Sign =
  | { readonly is: 'all sent' }
  | { readonly is: 'waiting'; readonly count: number }
  /** Nothing but what only a tablet of its writers' can send. */
  | { readonly is: 'waiting for others'; readonly count: number }
  | { readonly is: 'not saved' }
  | { readonly is: 'kept on this tablet' };

export interface Sync {
  readonly link: ReadonlySignal<Link>;
  readonly sign: ReadonlySignal<Sign>;
  /** Whose pass this tablet holds; undefined without one, also where none is needed. */
  readonly person: ReadonlySignal<Person | undefined>;
  /** May give and take passes. */
  readonly owner: ReadonlySignal<boolean>;
  /** How many entries wait here for a tablet of who wrote them: someone else had this tablet before. */
  readonly others: ReadonlySignal<number>;
  /** What files say in this person's name and the studio does not have. Not sent before `vouch`. */
  readonly inYourName: ReadonlySignal<readonly Entry[]>;
  /** Entries the server turned down, with its reasons. They stay on this tablet. */
  readonly refused: ReadonlySignal<readonly RefusedHere[]>;
  /** What the studio offers; empty while it was not reached. */
  readonly offered: ReadonlySignal<readonly Offered[]>;
  /** Why the last round did not come to its end, when it was not for want of a network or a pass. */
  readonly trouble: ReadonlySignal<string | undefined>;
  /** Asks for a round now; resolves after it, whether or not it worked. */
  readonly nudge: () => Promise<void>;
  /** The person says that they wrote what is `inYourName`: it is sent. */
  vouch(): Promise<void>;
  /** Uses a code up. `ownId` is the person's id under which this tablet wrote so far. Rejects with `StudioError`. */
  join(code: string, ownId: string): Promise<Person>;
  /** Puts an offered shot on this tablet's shelf, with its notes. Goes on where it broke off when called again. */
  keep(shotId: string, wanted?: Wanted): Promise<void>;
  /** Puts a shot of this tablet's shelf up at the studio. */
  putUp(shotId: string, wanted?: Wanted): Promise<void>;
  passes(): Promise<readonly GivenPass[]>;
  /** The code is shown once. `personId`: of someone who came in already and gets another tablet. */
  makePass(name: string, role: Person['role'], personId?: string): Promise<NewPass>;
  revokePass(id: string): Promise<void>;
  close(): void;
}

export interface SyncNeeds {
  readonly shelf: Shelf;
  /** The app's own address. */
  readonly base: URL;
  /** Makes the tablet's sizes of a file, in intake's worker. Takes the buffer over. */
  readonly makeImage: (file: ArrayBuffer, ref: ImageRef) => Promise<NewImage>;
  readonly fetch?: Fetch;
  readonly platform?: Platform;
}

/** A look even when nothing asked for one: hints may be lost. */
const timerMs = 60_000;
/** Versions of both sides at their last meeting. */
const versionsKey = 'sync:versions';

export function openSync(needs: SyncNeeds): Sync {
  const { shelf, makeImage } = needs;
  const platform = needs.platform ?? pagePlatform();
  const studio = studioAt(needs.base, needs.fetch ?? ((input, init) => fetch(input, init)));
  const pull = async (shotId: string): Promise<void> => {
    const { server } = (await shelf.value<Me>(meKey)) ?? (await studio.me());
    await pullShot(shelf, studio, server, shotId);
  };
  const offers = createOffers({ shelf, studio, platform, makeImage }, pull);

  const link = signal<Link>('unknown');
  const person = signal<Person | undefined>(undefined);
  const owner = signal(false);
  const refused = signal<readonly RefusedHere[]>([]);
  const waiting = signal(0);
  const others = signal(0);
  /** What the studio acknowledged was not seen there yet, or not since it was restored. */
  const doubted = signal(false);
  const inYourName = signal<readonly Entry[]>([]);
  const health = signal<Health>('saved');
  const trouble = signal<string | undefined>(undefined);
  const sign = computed<Sign>(() => {
    if (health.value === 'not saved') return { is: 'not saved' };
    if (link.value === 'none' || link.value === 'unknown') return { is: 'kept on this tablet' };
    const count = waiting.value;
    if (count > 0) return { is: 'waiting', count };
    if (others.value > 0) return { is: 'waiting for others', count: others.value };
    // Without a pass nothing was sent from here, or will be.
    return { is: link.value === 'no pass' || doubted.value ? 'kept on this tablet' : 'all sent' };
  });

  const count = async (): Promise<void> => {
    const who = person.peek();
    const [unsent, shots, held, sent, unread, brought, isOurs] = await Promise.all([
      unsentHere(shelf, who),
      shelf.shots(),
      shelf.heldShots(),
      shelf.marked('sent'),
      shelf.markedUnread('sent'),
      shelf.marked('brought'),
      isWrittenBy(shelf, who),
    ]);
    const here = new Set(shots.map(({ id }) => id));
    batch(() => {
      waiting.value = unsent.lines.length;
      others.value = unsent.others;
      refused.value = unsent.refused;
      doubted.value = [...sent, ...unread].some(({ shot }) => here.has(shot));
      inYourName.value = brought.filter(isOurs);
      offers.shelve(here, held);
    });
  };

  const meet = async (me: Me): Promise<boolean> => {
    met = true;
    await shelf.keepValue(meKey, me);
    const versions = `${wireVersion} ${me.version}`;
    if ((await shelf.value<string>(versionsKey)) !== versions) {
      await shelf.readUnread();
      await forgetRefusals(shelf);
      await shelf.keepValue(versionsKey, versions);
    }
    batch(() => {
      remember(me);
      link.value = me.needsPass && !me.person ? 'no pass' : 'online';
    });
    return link.value === 'online';
  };
  const remember = (me: Me): void => {
    person.value = me.person ?? undefined;
    owner.value = me.owner;
  };
  /** Who this tablet was at its last meeting with the studio: rights hold without a network too. */
  const recall = async (): Promise<void> => {
    const me = await shelf.value<Me>(meKey);
    if (!me) return;
    met = true;
    batch(() => {
      remember(me);
      link.value = 'offline';
    });
  };

  const round = async (): Promise<void> => {
    const me = await studio.me();
    if (!(await meet(me))) return;
    const needs = { shelf, studio, platform };
    await sendOutbox(needs, person.value);
    const listed = await offers.list();
    const failed: unknown[] = [];
    for (const { id } of await shelf.shots()) {
      if (await isUpToDate(shelf, me.server, id, listed.get(id))) continue;
      // What is wrong with one shot stops no other; a network that is away stops all.
      await pullShot(shelf, studio, me.server, id).catch((error: unknown) => {
        if (error instanceof StudioError && error.code !== 'refused') throw error;
        failed.push(error);
      });
    }
    // What had to wait for something fetched now, and what the studio turned out to have lost.
    await sendOutbox(needs, person.value);
    await offers.giveBack();
    await offers.freshen();
    if (failed.length > 0) throw failed[0];
  };

  let met = false;
  let failures = 0;
  /** Something answered at this address, and it is no studio server. */
  let answeredNone = false;
  let closed = false;
  let stopTimer = (): void => undefined;
  const failed = (error: unknown): void => {
    failures++;
    const code = error instanceof StudioError ? error.code : undefined;
    answeredNone = code === 'none' && !met;
    if (code === 'pass') link.value = 'no pass';
    // A server that was here once is away; where none ever was, there is none.
    else if (code === 'none' || code === 'offline') link.value = met ? 'offline' : 'none';
    else trouble.value = sentenceOf(error);
  };

  let running: Promise<void> | undefined;
  let again: Promise<void> | undefined;
  const run = async (): Promise<void> => {
    stopTimer();
    try {
      // Before the sign can say anything: what waits from the last time is known.
      await count();
      if (link.value === 'unknown') await recall();
      await round();
      failures = 0;
      trouble.value = undefined;
    } catch (error) {
      failed(error);
    }
    // The shelf itself may be failing; its own sign says so.
    await count().catch(() => undefined);
    if (closed) return;
    if (failures > 0 && waiting.value > 0) platform.sendLater();
    // Where there is no server, only a turn (a network, the app to the front) is worth another look. One that
    // was never met may only have been out of reach when the app opened.
    if (!answeredNone) {
      const waitMs = failures > 0 ? backoffMs(failures, platform.random) : timerMs;
      stopTimer = platform.after(waitMs, () => void nudge());
    }
    if (link.value === 'online' && platform.visible()) openLive();
  };
  const nudge = (): Promise<void> => {
    if (closed) return Promise.resolve();
    if (!running) {
      running = run().finally(() => {
        running = undefined;
      });
      return running;
    }
    again ??= running.then(() => {
      again = undefined;
      return nudge();
    });
    return again;
  };

  let live: AbortController | undefined;
  /** Streams that ended by themselves since one last told something. */
  let ends = 0;
  const closeLive = (): void => {
    live?.abort();
    live = undefined;
  };
  const openLive = (): void => {
    if (live) return;
    const mine = new AbortController();
    live = mine;
    // What came between the pull and the opening gave no hint: look once more.
    const told = { open: () => void nudge(), hint: (hint: Hint) => void onHint(hint) };
    const ended = (): void => {
      if (live !== mine) return;
      live = undefined;
      stopTimer();
      // Not at once: a proxy that cuts streams short must not make us hammer.
      stopTimer = platform.after(backoffMs(++ends, platform.random), () => void nudge());
    };
    listen(studio, platform, mine.signal, told).then(ended, ended);
  };
  const onHint = async (hint: Hint): Promise<void> => {
    ends = 0;
    if (hint.kind === 'shots') return nudge();
    if (!offers.onShelf(hint.shot)) return;
    const isWhole = pull(hint.shot).then(async () => (await shelf.lacking(hint.shot)).length === 0);
    if (!(await isWhole.catch(() => false))) await nudge();
  };

  const keptHere = (): string[] => offers.offered.peek().flatMap(({ id, kept }) => (kept ? [id] : []));
  /** What the shelf said last of its health. */
  let told: Health = 'saved';
  const stops = [
    platform.onTurn((to) => {
      if (to === 'hide') closeLive();
      else void nudge();
    }),
    shelf.onHealth((now) => {
      const mended = health.value === 'not saved' && now !== 'not saved';
      told = now;
      if (!mended) health.value = now;
      // What could be written at last waits to be sent: it is counted before the sign may say "all sent".
      else
        void count()
          .catch(() => undefined)
          .then(() => {
            health.value = told;
          });
    }),
    shelf.onChange(({ kind }) => {
      if (kind === 'values') return;
      const kept = new Set(keptHere());
      void count().then(
        () => {
          // A shot that came onto the shelf, of which the studio has something: nobody put that up from here.
          const isMet = keptHere().some((id) => !kept.has(id));
          if (isMet || (kind === 'entries' && waiting.value > 0 && link.value !== 'none')) void nudge();
        },
        () => undefined,
      );
    }),
  ];
  void nudge();

  return {
    link,
    sign,
    person,
    owner,
    others,
    inYourName,
    refused,
    offered: offers.offered,
    trouble,
    nudge,
    async vouch() {
      const [withShot, alone] = [true, false].map((is) =>
        inYourName.peek().filter((entry) => goesWithShot(entry) === is),
      );
      await shelf.mark(withShot ?? [], 'held');
      await shelf.mark(alone ?? [], 'unsent');
      await nudge();
    },
    async join(code, ownId) {
      // Who had this tablet before keeps their id, and what they wrote.
      const isTaken = await isSomebodys(shelf, ownId);
      // A round under way may be answered after this with the cookie of the pass before.
      await running;
      const me = await studio.join(code, isTaken ? undefined : ownId);
      if (me.person) await rememberOwnId(shelf, me.person, isTaken ? me.person.id : ownId);
      await forgetRefusals(shelf);
      await meet(me);
      void nudge();
      if (me.person) return me.person;
      throw new StudioError('refused', 'The studio server gave no name for this code.');
    },
    async keep(shotId, wanted) {
      await offers.keep(shotId, wanted);
      await nudge();
    },
    async putUp(shotId, wanted) {
      await offers.putUp(shotId, wanted);
      await nudge();
    },
    passes: () => studio.passes(),
    makePass: (name, role, personId) => studio.makePass(name, role, personId),
    revokePass: (id) => studio.revokePass(id),
    close() {
      closed = true;
      stopTimer();
      closeLive();
      for (const stop of stops) stop();
    },
  };
}
