/**
 * Frame labels against SMPTE ST 12-1 drop-frame values as broadcast handbooks give them, 35 mm handbook
 * lengths (16 frames a foot, 90 feet a minute at 24 fps), and the `smpte-timecode` library.
 */
import Timecode from 'smpte-timecode';
import { describe, expect, it } from 'vitest';
import { feetAndFrames, frameLabels, isDropFrame, timecode } from '../../src/shot/frame-labels.ts';

const ntsc = 30_000 / 1001;

describe('timecode', () => {
  it.each([
    [0, '00:00:00;00'],
    [1799, '00:00:59;29'],
    [1800, '00:01:00;02'],
    [17_982, '00:10:00;00'],
    [107_892, '01:00:00;00'],
    [2_589_407, '23:59:59;29'],
    [2_589_408, '00:00:00;00'],
  ])('of frame %i in drop-frame is %s', (elapsed, label) => expect(timecode(elapsed, ntsc)).toBe(label));

  it.each([
    [24, false],
    [25, false],
    [30, false],
    [50, false],
    [60, false],
    [29.97, true],
    [59.94, true],
  ] as const)('at %f fps is that of smpte-timecode (drop-frame %s) over a day', (fps, drop) => {
    const rate = fps === 29.97 ? ntsc : fps === 59.94 ? 60_000 / 1001 : fps;
    const perDay = Math.floor(rate * 86_400);
    // 997 is prime, so all seconds, minutes and frames come up.
    for (let elapsed = 0; elapsed < perDay; elapsed += 997) {
      const theirs = Timecode(elapsed, fps, drop)
        .toString()
        .replace(/[;.](?=\d+$)/, drop ? ';' : ':');
      expect(timecode(elapsed, rate), `frame ${elapsed}`).toBe(theirs);
    }
    for (let elapsed = 1790; elapsed < 1810; elapsed++)
      expect(timecode(elapsed, rate).replace(';', ':')).toBe(
        Timecode(elapsed, fps, drop).toString().replace(';', ':'),
      );
  });

  it('drops at 29.97 and 59.94 only, not at 23.976', () => {
    expect([ntsc, 60_000 / 1001, 29.97].every(isDropFrame)).toBe(true);
    expect([24_000 / 1001, 24, 25, 30, 60, 12].some(isDropFrame)).toBe(false);
    expect(timecode(24, 24_000 / 1001)).toBe('00:00:01:00');
  });
});

it.each([
  [29.97, ntsc],
  [59.94, 60_000 / 1001],
] as const)('at %f fps without drop-frame is that of smpte-timecode', (fps, rate) => {
  for (const elapsed of [0, 1799, 1800, 17_982, 107_892, 1_000_003])
    expect(timecode(elapsed, rate, false)).toBe(Timecode(elapsed, fps, false).toString());
});

describe('feet and frames', () => {
  it.each([
    [24, '1+08'],
    [1440, '90+00'],
    [0, '0+00'],
    [15, '0+15'],
    [16, '1+00'],
  ])('of %i frames are %s', (frames, label) => expect(feetAndFrames(frames)).toBe(label));
});

it('labels a frame of the shot, the first being 1', () => {
  expect(frameLabels(1, 24)).toEqual({ frame: 1, feet: '0+01', timecode: '00:00:00:00' });
  expect(frameLabels(25, 24)).toEqual({ frame: 25, feet: '1+09', timecode: '00:00:01:00' });
});
