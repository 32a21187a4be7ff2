import { signal } from '@preact/signals';
import { describe, expect, test } from 'vitest';
import { fixFilterSchema, noFilter } from '../../../src/desk/fixes/filter.ts';
import { keptFilter } from '../../../src/desk/kept-filter.ts';

const desk = (lists: Readonly<Record<string, unknown>>) => ({ lists: signal(lists) });
const open = (lists: ReturnType<typeof desk>) => keptFilter(lists, 'fixes', fixFilterSchema, noFilter);

describe('what a list shows', () => {
  test('is what it showed before, and what other lists show is left alone', () => {
    const session = desk({ notes: { state: 'all' } });
    const filter = open(session);
    expect(filter.value).toEqual(noFilter);
    const chosen = { ...noFilter, state: 'fixed' as const, who: 'Jo' };
    filter.value = chosen;
    expect(session.lists.value).toEqual({ notes: { state: 'all' }, fixes: chosen });
    const reloaded: unknown = JSON.parse(JSON.stringify(session.lists.value));
    expect(open(desk(reloaded as Record<string, unknown>)).value).toEqual(chosen);
  });
  test.each([
    ['another build’s words', { ...noFilter, state: 'asleep' }],
    ['no filter at all', 'fixed'],
  ])('is everything after %s', (_, kept) => expect(open(desk({ fixes: kept })).value).toEqual(noFilter));
});
