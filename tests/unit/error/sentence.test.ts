import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as v from 'valibot';
import { describe, expect, test } from 'vitest';
import { reasonOf, SentenceError, sentenceOf } from '../../../src/error/sentence.ts';
import { OddFileError } from '../../../src/intake/source.ts';
import { ShelfError, type ShelfErrorCode } from '../../../src/shelf/types.ts';
import { StudioError, type StudioErrorCode } from '../../../src/sync/studio-answers.ts';
import { ROOT } from '../../support/built-app.ts';

/** Error names of the Web IDL standard (from memory), deprecated ones left out. */
const domNames = [
  'NotFoundError',
  'NotSupportedError',
  'InUseAttributeError',
  'InvalidStateError',
  'SyntaxError',
  'InvalidModificationError',
  'NamespaceError',
  'InvalidAccessError',
  'SecurityError',
  'NetworkError',
  'AbortError',
  'QuotaExceededError',
  'TimeoutError',
  'InvalidNodeTypeError',
  'DataCloneError',
  'EncodingError',
  'NotReadableError',
  'UnknownError',
  'ConstraintError',
  'DataError',
  'TransactionInactiveError',
  'ReadOnlyError',
  'VersionError',
  'OperationError',
  'NotAllowedError',
];
const raw = 'IDBObjectStore: 0x7f at Foo.bar (index-3fa.js:1:2)';

const valibotError = (): unknown => {
  try {
    return v.parse(v.object({ at: v.number() }), { at: 'x' });
  } catch (error) {
    return error;
  }
};

/** A sentence of ours: begins large, ends with a stop, holds nothing of what the platform said. */
function expectSentence(text: string): void {
  expect(text).toMatch(/^[A-Z“].*[.!?]$/s);
  expect(text).not.toMatch(/0x7f|index-3fa|Error\b|Expected number|undefined|\[object|\bat \w+\./);
}

describe('what a platform or a library says reaches nobody', () => {
  test.each(domNames)('%s', (name) => expectSentence(sentenceOf(new DOMException(raw, name))));
  test.each([
    ['a plain Error', new Error(raw)],
    ['a TypeError of our own', new TypeError(`Cannot read properties of undefined (${raw})`)],
    ['a RangeError', new RangeError(`Array buffer allocation failed ${raw}`)],
    ['a word', raw],
    ['nothing', undefined],
    ['an object', { code: 7 }],
    ['valibot', valibotError()],
  ])('%s', (_, error) => {
    expectSentence(sentenceOf(error));
    expect(reasonOf(error)).not.toMatch(/0x7f|index-3fa|Expected/);
  });
  test.each(['Failed to fetch', 'Load failed', 'NetworkError when attempting to fetch resource.'])(
    // What Chromium, WebKit and Firefox say (from memory).
    'a request that failed, in the words of “%s”',
    (message) => expect(sentenceOf(new TypeError(message))).toMatch(/network/),
  );
});

test('what is known is said: no room, a file that has gone, no memory', () => {
  expect(sentenceOf(new DOMException(raw, 'QuotaExceededError'))).toMatch(/no room left/);
  expect(sentenceOf(new DOMException(raw, 'NotReadableError'))).toMatch(/Choose it again/);
  expect(sentenceOf(new RangeError(raw))).toMatch(/memory/);
  expect(sentenceOf(new Error(raw), 'The shot could not be opened.')).toBe('The shot could not be opened.');
});

const shelfCodes: Record<ShelfErrorCode, true> = {
  full: true,
  lost: true,
  blocked: true,
  newer: true,
  missing: true,
};
const studioCodes: Record<StudioErrorCode, true> = {
  offline: true,
  none: true,
  pass: true,
  busy: true,
  refused: true,
};

test('errors of our own say their own sentence, of every code; a file’s, what to do as well', () => {
  for (const code of Object.keys(shelfCodes) as ShelfErrorCode[])
    expect(sentenceOf(new ShelfError(code, 'The shelf is full; take a shot off.'))).toBe(
      'The shelf is full; take a shot off.',
    );
  for (const code of Object.keys(studioCodes) as StudioErrorCode[])
    expect(sentenceOf(new StudioError(code, 'The studio says no.', 403))).toBe('The studio says no.');
  const odd = new OddFileError('it is empty (0 bytes)', 'Export it again.');
  expect([sentenceOf(odd), reasonOf(odd)]).toEqual([
    'It is empty (0 bytes). Export it again.',
    'it is empty (0 bytes)',
  ]);
  expect(reasonOf(new SentenceError('x', 'its file is not on this tablet'))).toBe(
    'its file is not on this tablet',
  );
  expect(reasonOf(new DOMException(raw, 'QuotaExceededError'))).toBe('there is no room left on this tablet');
});

test('no screen and no sync shows an error’s message by itself', () => {
  const rooms = ['app', 'desk', 'sync', 'shelf', 'intake', 'export', 'work', 'check'];
  const shown = rooms.flatMap((room) =>
    readdirSync(join(ROOT, 'src', room), { recursive: true, encoding: 'utf8' })
      .filter((file) => /\.tsx?$/.test(file) && !/(^|\/)(node|build)\//.test(file))
      .filter((file) =>
        /error instanceof Error\b[^;]*\.message|String\((error|reason)\)/.test(
          readFileSync(join(ROOT, 'src', room, file), 'utf8'),
        ),
      )
      .map((file) => `${room}/${file}`),
  );
  expect(shown).toEqual([]);
});
