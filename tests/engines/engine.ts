/** One browser to a test, whichever it is: what the job done in all of them needs. */

export type EngineName = 'Chromium' | 'WebKit' | 'Firefox';

/** CSS px from the viewport's top left corner. */
export interface At {
  readonly x: number;
  readonly y: number;
}

export interface Engine {
  readonly name: EngineName;
  goto(url: string): Promise<unknown>;
  back(): Promise<unknown>;
  /** `look` is sent as text: it sees its arguments and the page, nothing of the test. Plain data both ways. */
  evaluate<A extends readonly unknown[], T>(look: (...args: A) => T | Promise<T>, ...args: A): Promise<T>;
  /** A key by its name in UI Events (`Enter`, `ArrowRight`), or a text letter by letter. */
  press(...keys: readonly string[]): Promise<unknown>;
  /** One contact that goes down at the first point, along the others, and up. */
  stroke(pointer: 'mouse' | 'touch' | 'pen', way: readonly At[]): Promise<unknown>;
  /** PNG of the viewport. */
  screenshot(): Promise<Buffer>;
  end(): Promise<void>;
}

/** Key values of WebDriver (W3C WebDriver, 17.4.2). */
const keyValues: Readonly<Record<string, string>> = {
  Backspace: '\uE003',
  Tab: '\uE004',
  Enter: '\uE007',
  Escape: '\uE00C',
  End: '\uE010',
  Home: '\uE011',
  ArrowLeft: '\uE012',
  ArrowUp: '\uE013',
  ArrowRight: '\uE014',
  ArrowDown: '\uE015',
};

/** Input sources of W3C WebDriver, which WebDriver BiDi shares. */
export const keyActions = (keys: readonly string[]): readonly unknown[] => [
  {
    type: 'key',
    id: 'keys',
    actions: keys
      .flatMap((key) => keyValues[key] ?? Array.from(key))
      .flatMap((value) => [
        { type: 'keyDown', value },
        { type: 'keyUp', value },
      ]),
  },
];

export const strokeActions = (
  pointerType: 'mouse' | 'touch' | 'pen',
  [first, ...rest]: readonly At[],
): readonly unknown[] => {
  const move = ({ x, y }: At, duration: number): unknown => ({
    type: 'pointerMove',
    x: Math.round(x),
    y: Math.round(y),
    duration,
    origin: 'viewport',
  });
  if (!first) throw new Error('A stroke has a point at least.');
  return [
    {
      type: 'pointer',
      id: pointerType,
      parameters: { pointerType },
      actions: [
        move(first, 0),
        { type: 'pointerDown', button: 0 },
        ...rest.map((at) => move(at, 16)),
        { type: 'pointerUp', button: 0 },
      ],
    },
  ];
};
