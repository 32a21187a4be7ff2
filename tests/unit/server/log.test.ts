// Expected: RFC 8259 (JSON) read by Node's own parser, RFC 3339 times; one object a line, as gatherers of logs read them.
import { expect, test } from 'vitest';
import { logTo } from '../../../src/server/log.ts';

const lines: string[] = [];
const write = (text: string): void => void lines.push(text);

test('as JSON each line is one object, whatever it says; else it is what was said', () => {
  const log = logTo(write, { FAIRPEG_LOG: 'json' }, () => Date.UTC(2026, 10, 30, 22, 15, 1));
  log('The shot “a\nb” \\ "c"\u2028 is not read.');
  logTo(write, {})('Well again.');
  const [first = '', second] = lines;
  expect(first.trimEnd().split(/\r|\n/)).toHaveLength(1);
  expect(JSON.parse(first)).toEqual({
    time: '2026-11-30T22:15:01.000Z',
    process: process.pid,
    message: 'The shot “a\nb” \\ "c"\u2028 is not read.',
  });
  expect(second).toBe('Well again.\n');
});

test('another form is refused in one sentence', () => {
  expect(() => logTo(write, { FAIRPEG_LOG: 'xml' })).toThrow('FAIRPEG_LOG is json or lines, not xml.');
});
