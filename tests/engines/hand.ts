/** A hand and an eye on the app in any engine: what is asked for is waited for, and named when it never comes. */
import sharp from 'sharp';
import { expect } from 'vitest';
import { picturedIn } from '../browser/desk-app.ts';
import { untilThere } from './ended.ts';
import type { At, Engine } from './engine.ts';

const longestMs = 120_000;

/** `selector`: CSS; with `text`, the first whose label or text begins so. */
export interface Wanted {
  readonly selector: string;
  readonly text?: string;
}

export function handIn(engine: Engine) {
  /** Its middle, brought into view; undefined while it is not there or under another. */
  const placeOf = ({ selector, text }: Wanted): Promise<At | null> =>
    engine.evaluate(
      (selector: string, text: string | null) => {
        const all = [...document.querySelectorAll<HTMLElement>(selector)].filter(
          (each) => each.getClientRects().length > 0,
        );
        const found = all.find(
          (each) =>
            text === null ||
            (each.getAttribute('aria-label') ?? each.textContent ?? '').trim().startsWith(text),
        );
        if (!found) return null;
        found.scrollIntoView({ block: 'nearest' });
        const { left, top, width, height } = found.getBoundingClientRect();
        return { x: left + width / 2, y: top + height / 2 };
      },
      selector,
      text ?? null,
    );
  const there = (wanted: Wanted): Promise<At> =>
    untilThere(
      `${engine.name}: ${wanted.selector} ${wanted.text ?? ''} never came`,
      longestMs,
      async () => (await placeOf(wanted)) ?? undefined,
    );
  const hand = {
    there,
    /** Without waiting. */
    isThere: async (wanted: Wanted): Promise<boolean> => (await placeOf(wanted)) !== null,
    async tap(selector: string, text?: string): Promise<void> {
      await engine.stroke('touch', [await there({ selector, ...(text !== undefined && { text }) })]);
    },
    texts: (selector: string): Promise<string[]> =>
      engine.evaluate(
        (selector: string) =>
          [...document.querySelectorAll<HTMLElement>(selector)].map(({ innerText }) => innerText),
        selector,
      ),
    /** Waits until the desk says that this drawing is on the paper, and looks whether the picture agrees. */
    async onPaper(label: string, layer: 'clean' | 'rough' = 'clean'): Promise<void> {
      await there({ selector: `.number[data-shown="${label}"]:not([data-quality=thumb])` });
      await expect
        .poll(async () => hand.pictured(layer), {
          timeout: longestMs,
          message: `${engine.name}: drawing ${label}`,
        })
        .toBe(Number(label));
    },
    /** The number that the kettle's picture itself carries. */
    async pictured(layer: 'clean' | 'rough'): Promise<number> {
      const box = await engine.evaluate(() => {
        const { left, top, width, height } = (
          document.querySelector('.stage') as Element
        ).getBoundingClientRect();
        return {
          left: Math.ceil(left),
          top: Math.ceil(top),
          width: Math.floor(width),
          height: Math.floor(height),
        };
      });
      const { data, info } = await sharp(await engine.screenshot())
        .extract(box)
        .removeAlpha()
        .raw()
        .toBuffer({ resolveWithObject: true });
      return picturedIn({ data, width: info.width, height: info.height }, layer);
    },
    /** A stroke of the pen in shares of the stage. */
    async draw(points: readonly (readonly [number, number])[]): Promise<void> {
      const box = await engine.evaluate(() => {
        const { left, top, width, height } = (
          document.querySelector('.stage') as Element
        ).getBoundingClientRect();
        return { left, top, width, height };
      });
      await engine.stroke(
        'pen',
        points.map(([x, y]) => ({ x: box.left + x * box.width, y: box.top + y * box.height })),
      );
    },
    /** Files chosen, as far as a page can tell: no driver here opens a picker in all engines. */
    choose: (
      selector: string,
      files: readonly { readonly path: string; readonly base64: string }[],
    ): Promise<void> =>
      engine.evaluate(
        (selector: string, files: readonly { path: string; base64: string }[]) => {
          const transfer = new DataTransfer();
          for (const { path, base64 } of files)
            transfer.items.add(new File([Uint8Array.from(atob(base64), (char) => char.charCodeAt(0))], path));
          const input = document.querySelector(selector) as HTMLInputElement;
          input.files = transfer.files;
          input.dispatchEvent(new Event('change', { bubbles: true }));
        },
        selector,
        files,
      ),
  };
  return hand;
}
