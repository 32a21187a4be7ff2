import { expect, test } from 'vitest';
import { joinLink } from '../../../src/app/studio/join-link.ts';

const urls = ['https://studio.local:4173', 'https://192.168.1.20:4173'];

test('leads where the page stands', () => {
  expect(joinLink('AB12-CD34', new URL('https://fairpeg.example/line/'), urls)).toBe(
    'https://fairpeg.example/line/#/join/AB12-CD34',
  );
});

test('opened on the studio’s own machine it leads where tablets find the studio', () => {
  for (const here of [
    'https://localhost:4173/',
    'https://127.0.0.1:4173/',
    'https://[::1]:4173/',
    'http://fairpeg.localhost/',
  ])
    expect(joinLink('AB12-CD34', new URL(here), urls), here).toBe(
      'https://studio.local:4173/#/join/AB12-CD34',
    );
});

test('stays where it is when the studio names no other address', () => {
  expect(joinLink('AB12-CD34', new URL('http://localhost:4173/'), [])).toBe(
    'http://localhost:4173/#/join/AB12-CD34',
  );
});
