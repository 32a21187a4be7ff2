/**
 * The line of the open shot changed: what is wished, what lies on the paper for it, what it would break, and its doing.
 * Over 300 lines would be two files; it is one because preview, foretelling and doing share the wish and the drawings.
 */
import { batch, computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import { keysWeightPx } from '../../check/measured.ts';
import { type WeightChange, type WeightWish, weightChange } from '../../check/reweigh-by.ts';
import { sentenceOf } from '../../error/sentence.ts';
import type { Picture } from '../../line/picture.ts';
import { isRefused } from '../../line/refused.ts';
import type { Break } from '../../line/reweight/what-breaks.ts';
import { houseRulesIn } from '../../note/said-house-rules.ts';
import { levelNamed } from '../../shot/drawing-ref.ts';
import type { Drawing, ImageRef, Level } from '../../shot/model.ts';
import { cleanOf } from '../../shot/takes.ts';
import { checksOf } from '../checks/checks-desk.ts';
import { type LinePart, linePartOf } from '../line-part.ts';
import { flipLabels, type Way } from '../model.ts';
import { perSession } from '../per-session.ts';
import { pictureSource } from '../picture-source.ts';
import type { Session } from '../session.ts';
import { spreadOf } from '../spread.ts';
import { demand, type Job } from './demand.ts';
import { mendPlacesOf } from './mend-places.ts';
import type { MendOffer, Redo } from './messages.ts';
import { redrawBridge } from './redraw-bridge.ts';
import { type ToRedraw, takeAnew } from './take-anew.ts';

/** Which drawings it is done to. */
export type Range = 'drawing' | 'set' | 'shot';

export interface Placed {
  readonly level: Level;
  readonly drawing: Drawing;
  readonly image: ImageRef;
}

export type Foretold = readonly Break[] | { readonly refused: string };

/** What can be put right on one drawing, and which of it is chosen. */
export interface Offered {
  readonly offers: readonly MendOffer[] | undefined;
  readonly picks: ReadonlySet<number>;
}

export interface RelineDesk {
  readonly part: Signal<LinePart>;
  readonly wish: Signal<WeightWish>;
  readonly range: Signal<Range>;
  readonly here: ReadonlySignal<Placed | undefined>;
  readonly inRange: ReadonlySignal<readonly Placed[]>;
  /** Undefined while its weight is not known. */
  changeOf(one: Placed): WeightChange | undefined;
  weightPxOf(one: Placed): number | undefined;
  keysPx(level: Level): number | undefined;
  /** Undefined while it is not known. */
  foretoldOf(one: Placed): Foretold | undefined;
  /** Foretells all of the range, one drawing after the other, while this is true. */
  readonly looking: Signal<boolean>;
  offeredOn(one: Placed): Offered;
  pick(one: Placed, index: number, on: boolean): void;
  /** What is being done, and how far it is, 0–1. */
  readonly running: ReadonlySignal<{ readonly what: string; readonly share: number } | undefined>;
  stop(): void;
  /** Why something could not be done, or what was left out: sentences. */
  readonly said: Signal<string>;
  /** All of the range that changes. */
  toReweigh(): ToRedraw[];
  readonly worker: ReturnType<typeof redrawBridge>;
  reweigh(): void;
  mend(one: Placed): void;
  /** What lies on the paper is the drawing as it would be. */
  readonly shown: ReadonlySignal<boolean>;
  /** Puts the changed drawing on the paper, over the one that is; returns what takes it off. */
  lay(): () => void;
}

export const relineOf = perSession(openReline);

/** A wish that still moves under the finger is not foretold, ms. */
const settleMs = 300;
/** Pictures in flip size made here at once: of the drawing at hand and those beside it. */
const mostMade = 6;
const prefix = 'reline:';

function openReline(session: Session): RelineDesk {
  const { shot, model, shelf, ledger } = session;
  const checks = checksOf(session);
  const part = linePartOf(session);
  const wish = signal<WeightWish>({ how: 'px', px: 0 });
  const settled = signal<WeightWish>(wish.peek());
  const range = signal<Range>('drawing');
  const looking = signal(false);
  const said = signal('');
  const running = signal<{ readonly what: string; readonly share: number } | undefined>(undefined);
  const weights = signal<ReadonlyMap<string, number | 'none'>>(new Map());
  const foretold = signal<ReadonlyMap<string, Foretold>>(new Map());
  const offers = signal<ReadonlyMap<string, readonly MendOffer[]>>(new Map());
  const unpicked = signal<ReadonlyMap<string, ReadonlySet<number>>>(new Map());
  /** Keys of pictures among `session.made`, oldest first; another set with each that is made. */
  const made = signal<ReadonlySet<string>>(new Set());
  const failed = new Set<string>();
  const previews = redrawBridge(1);
  const worker = redrawBridge((globalThis.navigator?.hardwareConcurrency ?? 2) > 2 ? 2 : 1);
  session.left.addEventListener('abort', () => [previews, worker].forEach((bridge) => bridge.close()), {
    once: true,
  });
  const source = pictureSource(shelf, new Map());

  const placed = (level: Level, label: string): Placed | undefined => {
    const drawing = level.drawings.find((one) => one.label === label);
    const image = drawing && cleanOf(drawing);
    return drawing && image && { level, drawing, image };
  };
  const here = computed(() => {
    const level = levelNamed(shot.value, model.value.level);
    return level && placed(level, model.value.drawing);
  });
  const inRange = computed((): readonly Placed[] => {
    if (range.value === 'drawing') return here.value ? [here.value] : [];
    const level = levelNamed(shot.value, model.value.level);
    if (range.value === 'set')
      return level ? flipLabels(shot.value, model.value).flatMap((label) => placed(level, label) ?? []) : [];
    return shot.value.levels.flatMap((each) =>
      each.drawings.flatMap(({ label }) => placed(each, label) ?? []),
    );
  });

  /** As the checks have it, else as it was weighed here. */
  const weightPxOf = ({ level, drawing, image }: Placed): number | undefined => {
    const measures = checks.measured.value
      .get(level.name)
      ?.find((one) => one.drawing.label === drawing.label)?.measures;
    if (measures && !isRefused(measures.weight)) return measures.weight.medianPx;
    const own = weights.value.get(image.sha256);
    return typeof own === 'number' ? own : undefined;
  };
  const keysPx = (level: Level): number | undefined => {
    const measured = checks.measured.value.get(level.name) ?? [];
    const known = keysWeightPx(measured);
    const keys = level.drawings.filter(({ role, takes }) => role === 'key' && takes.length > 0);
    // Only once every key is measured: a weight that moves while one looks is no help.
    const open = keys.some(({ label }) => !measured.find(({ drawing }) => drawing.label === label)?.measures);
    return open ? undefined : known;
  };
  const changeFor = (to: WeightWish, one: Placed): WeightChange | undefined =>
    weights.value.get(one.image.sha256) === 'none'
      ? { left: 'No stretch of its line is long enough to be weighed.' }
      : weightChange(to, {
          isKey: one.drawing.role === 'key',
          ...(to.how !== 'px' && { weightPx: weightPxOf(one) }),
          ...(to.how === 'keys' && { keysPx: keysPx(one.level) }),
        });
  const changeOf = (one: Placed): WeightChange | undefined => changeFor(wish.value, one);
  const foretoldKey = ({ image }: Placed, byPx: number): string => `${image.sha256} ${byPx}`;
  const foretoldOf = (one: Placed): Foretold | undefined => {
    const change = changeOf(one);
    if (!change || 'left' in change) return undefined;
    return foretold.value.get(foretoldKey(one, change.byPx));
  };

  const placesOf = (one: Placed) => {
    const all = checks.measured.value.get(one.level.name) ?? [];
    return mendPlacesOf(one, all, checks.listed.value, houseRulesIn(ledger.entries.value));
  };
  const offersKey = (one: Placed, places: object): string => `${one.image.sha256} ${JSON.stringify(places)}`;
  const offeredOn = (one: Placed): Offered => {
    const places = placesOf(one);
    const found = places && offers.value.get(offersKey(one, places));
    const off = unpicked.value.get(one.image.sha256);
    return { offers: found, picks: new Set(found?.flatMap((_, index) => (off?.has(index) ? [] : [index]))) };
  };
  const redoOf = (one: Placed): Redo | undefined => {
    if (part.value === 'weight') {
      const change = changeOf(one);
      return change && 'byPx' in change ? { kind: 'weight', byPx: change.byPx } : undefined;
    }
    const places = placesOf(one);
    const { picks } = offeredOn(one);
    return places && picks.size > 0 ? { kind: 'mend', places, picks: [...picks] } : undefined;
  };
  const madeKey = ({ image }: Placed, redo: Redo): string =>
    `${prefix}${image.sha256}:${redo.kind === 'weight' ? redo.byPx : JSON.stringify(redo)}`;
  const shownKey = (one: Placed): string | undefined => {
    const redo = redoOf(one);
    const key = redo && madeKey(one, redo);
    return key !== undefined && made.value.has(key) ? key : undefined;
  };

  /** The drawing at hand and its neighbours in the flip set, the way the hand goes first. */
  const nearby = (): Placed[] => {
    const level = levelNamed(shot.value, model.value.level);
    if (!level) return [];
    const labels = flipLabels(shot.value, model.value);
    const at = labels.indexOf(model.value.drawing);
    const { direction } = model.value;
    const wanted = [model.value.drawing, labels[at + direction], labels[at - direction]];
    return wanted.flatMap((label, n) =>
      label === undefined || (n > 0 && at < 0) ? [] : (placed(level, label) ?? []),
    );
  };

  function keep(key: string, picture: Picture): void {
    session.made.set(key, picture);
    const keys = [...made.peek(), key];
    for (const oldest of keys.slice(0, -mostMade)) session.made.delete(oldest);
    made.value = new Set(keys.slice(-mostMade));
  }

  function nextPreview(): Job | undefined {
    // Of mending the drawing at hand alone: that is worked out in full size.
    for (const one of part.value === 'weight' ? nearby() : here.value ? [here.value] : []) {
      const redo = redoOf(one);
      const key = redo && madeKey(one, redo);
      if (!redo || key === undefined || made.value.has(key) || failed.has(key)) continue;
      return async (stop) => {
        try {
          keep(key, await preview(one, redo, stop));
        } catch (error) {
          if (stop.aborted) return;
          failed.add(key);
          said.value = sentenceOf(error);
        }
      };
    }
    return undefined;
  }

  async function preview({ image }: Placed, redo: Redo, stop: AbortSignal): Promise<Picture> {
    if (redo.kind === 'mend') {
      const answer = await worker.ask({ kind: 'shown', sha256: image.sha256, redo }, { signal: stop });
      if ('picture' in answer) return answer.picture;
      throw new TypeError('The worker answered something else.');
    }
    const picture = await source.flip(image, stop);
    if (!picture) throw new DOMException('Its picture is not here.', 'AbortError');
    const byPx = (redo.byPx * picture.width) / image.width;
    const ask = { kind: 'preview', picture, byPx } as const;
    const answer = await previews.ask(ask, { signal: stop, transfer: [picture.data.buffer as ArrayBuffer] });
    if ('picture' in answer) return answer.picture;
    throw new TypeError('The worker answered something else.');
  }

  function nextLook(): Job | undefined {
    if (running.value) return undefined;
    const at = here.value;
    if (part.value === 'mend') {
      const places = at && placesOf(at);
      if (!at || !places || offers.value.has(offersKey(at, places))) return undefined;
      const key = offersKey(at, places);
      return asking(
        { kind: 'offers', sha256: at.image.sha256, places },
        (answer) => {
          put(offers, key, 'offers' in answer ? answer.offers : []);
        },
        () => put(offers, key, []),
      );
    }
    const wanted = looking.value ? [...(at ? [at] : []), ...inRange.value] : at ? [at] : [];
    for (const one of wanted) {
      const change = changeFor(settled.value, one);
      const { sha256 } = one.image;
      if (change === undefined && weightPxOf(one) === undefined && !weights.value.has(sha256))
        return asking(
          { kind: 'weigh', sha256 },
          (answer) => {
            put(weights, sha256, 'weightPx' in answer ? answer.weightPx : 'none');
          },
          () => put(weights, sha256, 'none'),
        );
      if (!change || 'left' in change) continue;
      const key = foretoldKey(one, change.byPx);
      if (foretold.value.has(key)) continue;
      return asking(
        { kind: 'foretell', sha256, byPx: change.byPx },
        (answer) => {
          if ('breaks' in answer) put(foretold, key, answer.breaks);
        },
        (why) => put(foretold, key, { refused: why }),
      );
    }
    return undefined;
  }

  const asking =
    (
      ask: Parameters<typeof worker.ask>[0],
      then: (answer: Awaited<ReturnType<typeof worker.ask>>) => void,
      otherwise: (why: string) => void,
    ): Job =>
    async (stop) => {
      try {
        then(await worker.ask(ask, { signal: stop }));
      } catch (error) {
        if (!stop.aborted) otherwise(sentenceOf(error));
      }
    };

  let making: AbortController | undefined;
  function run(
    what: string,
    items: readonly ToRedraw[],
    says: (count: number) => string,
    after: () => void,
  ): void {
    if (items.length === 0 || running.peek()) return;
    making = new AbortController();
    const stop = AbortSignal.any([making.signal, session.left]);
    running.value = { what, share: 0 };
    looking.value = false;
    said.value = '';
    const onProgress = (share: number): void => {
      if (!stop.aborted) running.value = { what, share };
    };
    takeAnew(session, items, says, { worker, signal: stop, onProgress })
      .then(
        (told) =>
          batch(() => {
            said.value = told;
            after();
          }),
        (error: unknown) => {
          said.value = stop.aborted ? 'Stopped. Nothing of the shot was changed.' : sentenceOf(error);
        },
      )
      .finally(() => {
        running.value = undefined;
      });
  }

  const toReweigh = (): ToRedraw[] =>
    inRange.peek().flatMap((one) => {
      const change = changeFor(wish.peek(), one);
      if (!change || 'left' in change) return [];
      const { level, drawing, image } = one;
      return [
        {
          level: level.name,
          drawing: drawing.label,
          image,
          redo: { kind: 'weight', byPx: change.byPx } as const,
        },
      ];
    });

  return {
    part,
    wish,
    range,
    here,
    inRange,
    changeOf,
    weightPxOf,
    keysPx,
    foretoldOf,
    looking,
    offeredOn,
    pick({ image }, index, on) {
      const off = new Set(unpicked.peek().get(image.sha256));
      if (on) off.delete(index);
      else off.add(index);
      put(unpicked, image.sha256, off);
    },
    running,
    stop: () => making?.abort(),
    said,
    toReweigh,
    worker,
    reweigh() {
      const how = wishWords(wish.peek());
      run(
        'new takes',
        toReweigh(),
        (count) => `Line ${how}: ${count === 1 ? 'a new take' : `${count} new takes`}`,
        () => {
          // Done once; what lies on the paper now is not to be changed again.
          wish.value = { how: 'px', px: 0 };
        },
      );
    },
    mend(one) {
      const redo = redoOf(one);
      if (redo?.kind !== 'mend') return;
      const item = { level: one.level.name, drawing: one.drawing.label, image: one.image, redo };
      const places = redo.picks.length === 1 ? 'one place' : `${redo.picks.length} places`;
      run(
        'a new take',
        [item],
        () => `${one.drawing.label}: ${places} mended, in a new take`,
        () => undefined,
      );
    },
    shown: computed(() => here.value !== undefined && shownKey(here.value) !== undefined),
    lay() {
      const before = model.peek().way;
      session.act({ do: 'way', way: 'clean' });
      session.laid.value = {
        spread(now, desk) {
          const level = levelNamed(now, desk.level);
          const one = level && desk.motion === 'still' ? placed(level, desk.drawing) : undefined;
          const key = one && shownKey(one);
          if (!one || key === undefined) return undefined;
          const usual = spreadOf(now, desk);
          const anew = { ...one.image, sha256: key };
          const clean = usual.clean.map((image) => (image.sha256 === one.image.sha256 ? anew : image));
          return { ...usual, clean, rough: usual.clean };
        },
        flip: () => false,
        words: (way) => (here.value && shownKey(here.value) !== undefined ? laidWords[way] : undefined),
      };
      let cancelSettle: (() => void) | undefined;
      const stops = [
        demand(nextPreview),
        demand(nextLook),
        effect(() => {
          const now = wish.value;
          cancelSettle?.();
          cancelSettle = session.clock.after(settleMs, () => {
            settled.value = now;
          });
        }),
      ];
      return () => {
        for (const stop of stops) stop();
        cancelSettle?.();
        making?.abort();
        looking.value = false;
        session.laid.value = undefined;
        for (const key of made.peek()) session.made.delete(key);
        made.value = new Set();
        session.act({ do: 'way', way: before });
      };
    },
  };
}

function put<K, V>(map: Signal<ReadonlyMap<K, V>>, key: K, value: V): void {
  map.value = new Map(map.peek()).set(key, value);
}

export function wishWords(wish: WeightWish): string {
  const signed = (amount: number, unit: string): string =>
    `${Math.abs(amount)} ${unit} ${amount < 0 ? 'thinner' : 'thicker'}`;
  if (wish.how === 'px') return signed(wish.px, 'px');
  if (wish.how === 'percent') return signed(wish.percent, '%');
  return wish.how === 'to' ? `brought to ${wish.px} px` : 'evened towards the keys';
}

const laidWords: Readonly<Record<Way, string>> = {
  clean: 'After',
  rough: 'Before',
  underlay: 'Before under after',
  'side by side': 'Before beside after',
  wipe: 'Before wiped by after',
  difference: 'What changes',
};
