import { describe, expect, test } from 'vitest';
import { annotationPage } from '../../src/export/annotations.ts';
import { fixRow } from '../unit/export/make.ts';

// W3C Web Annotation Data Model (Recommendation, 23 February 2017); sections are named at each check.
const stroke = { colour: 'red' as const, widthPx: 4.04, points: [10, 20.06, 0.5, 70, 50, 1, 30, 15, 0.2] };
const rows = [
  fixRow({ strokes: [stroke], replies: [{ who: 'Jo', whenMs: 2000, text: 'done' }] }),
  fixRow({ id: 'finding:weight/1', source: 'finding', who: '', whenMs: undefined, about: 'weight' }),
];
const page = annotationPage('shot 1', rows);

// 3.3.5: the motivations and purposes of the vocabulary.
const motivations = new Set(
  'assessing bookmarking classifying commenting describing editing highlighting identifying linking moderating questioning replying tagging'.split(
    ' ',
  ),
);

describe('the model', () => {
  test('5.2: a page has context, id, type and items', () => {
    expect(page).toMatchObject({ '@context': 'http://www.w3.org/ns/anno.jsonld', type: 'AnnotationPage' });
    expect(page.id).toMatch(/^urn:/);
    expect(page.items).toHaveLength(3);
  });

  test('3.1: each annotation has exactly one id that is an IRI, the type, and a target', () => {
    const ids = page.items.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    for (const item of page.items) {
      expect(() => new URL(item.id), item.id).not.toThrow();
      expect(item.type).toBe('Annotation');
      expect(item.target).toBeTruthy();
    }
  });

  test('3.3.5: motivations and purposes are of the vocabulary', () => {
    for (const item of page.items) {
      expect(motivations, item.motivation).toContain(item.motivation);
      for (const body of item.body) expect(motivations, body.purpose).toContain(body.purpose);
    }
  });

  test('3.3.2: created is an xsd:dateTime in UTC', () => {
    for (const { created } of page.items)
      if (created !== undefined) expect(created).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z$/);
    expect(page.items.filter(({ created }) => created !== undefined)).toHaveLength(2);
  });

  test('a reply targets the annotation it answers', () => {
    expect(page.items[1]).toMatchObject({ motivation: 'replying', target: page.items[0]?.id });
  });

  test('only terms of the vocabulary are used', () => {
    const terms = new Set(
      '@context id type items motivation creator name created body value format purpose target source selector conformsTo'.split(
        ' ',
      ),
    );
    JSON.stringify(page, (key, value: unknown) => {
      if (key !== '' && !/^\d+$/.test(key)) expect(terms, key).toContain(key);
      return value;
    });
  });
});

function selectors(index: number) {
  const target = page.items[index]?.target;
  return typeof target === 'object' ? target.selector : [];
}

describe('selectors', () => {
  test('4.2.1: a FragmentSelector has one value after Media Fragments, in whole pixels round the box', () => {
    const fragment = selectors(0).find(({ type }) => type === 'FragmentSelector');
    // Hand arithmetic: x 10.4…40.6, y 20.6…27.6.
    expect(fragment).toEqual({
      type: 'FragmentSelector',
      conformsTo: 'http://www.w3.org/TR/media-frags/',
      value: 'xywh=pixel:10,20,31,8',
    });
  });

  test('4.2.8: an SvgSelector holds well-formed SVG of the size of its source, without script and style', async () => {
    const svg = selectors(0).find(({ type }) => type === 'SvgSelector')?.value ?? '';
    expect(svg).not.toMatch(/<script|<style|style=|on\w+=/i);
    // Parsed and drawn by a general-purpose library (resvg), which refuses what is not well formed.
    const { Resvg } = await import('@resvg/resvg-js');
    const drawn = new Resvg(svg).render();
    expect([drawn.width, drawn.height]).toEqual([1920, 1080]);
    const inkAt = (x: number, y: number) => [...drawn.pixels.subarray(4 * (y * 1920 + x)).subarray(0, 4)];
    expect(inkAt(70, 50)).toEqual([255, 0, 0, 255]);
    expect(inkAt(200, 200)).toEqual([0, 0, 0, 0]);
  });

  test('a finding has no strokes and so no SvgSelector', () => {
    expect(selectors(2).map(({ type }) => type)).toEqual(['FragmentSelector']);
  });
});

test('RFC 6920: the source is named by its digest (SHA-256 of "abc", FIPS 180-4 example)', () => {
  const target = page.items[0]?.target;
  expect(typeof target === 'object' && target.source).toBe(
    `ni:///sha-256;${Buffer.from('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad', 'hex').toString('base64url')}`,
  );
});
