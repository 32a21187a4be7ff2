/** A frame's place in the shot as people write it: number, feet and frames, timecode. */

export interface FrameLabels {
  /** 1 for the first frame. */
  readonly frame: number;
  /** `1+08`. */
  readonly feet: string;
  /** `00:00:00:23`, or `00:00:00;23` in drop-frame. */
  readonly timecode: string;
}

/** 35 mm film, four perforations: 16 frames a foot, 90 feet a minute at 24 fps (35 mm handbooks). */
const framesPerFoot = 16;

/**
 * Labels of a frame. Feet and frames count film run through, so frame 24 ends at `1+08`; timecode names
 * the frame, counting from zero, so frame 1 is `00:00:00:00` (SMPTE ST 12-1). `dropFrame` as in `timecode`.
 */
export function frameLabels(frame: number, fps: number, dropFrame?: boolean): FrameLabels {
  return { frame, feet: feetAndFrames(frame), timecode: timecode(frame - 1, fps, dropFrame) };
}

/** A length in 35 mm film: 24 frames → `1+08`, 1440 → `90+00`. `frames` is a whole number ≥ 0. */
export function feetAndFrames(frames: number): string {
  return `${Math.floor(frames / framesPerFoot)}+${two(frames % framesPerFoot)}`;
}

/**
 * SMPTE ST 12-1 timecode of the frame `elapsed` frames (whole, ≥ 0) after 00:00:00:00, wrapping after 24
 * hours. Drop-frame, written with `;`, at 30000/1001 (two numbers skipped a minute, none in each tenth)
 * and 60000/1001 (four), unless `dropFrame` is false; all other rates count at the nearest whole rate without
 * drop, 24000/1001 too.
 */
export function timecode(elapsed: number, fps: number, dropFrame = true): string {
  const rate = Math.max(1, Math.round(fps));
  const skipped = dropFrame && isDropFrame(fps) ? rate / 15 : 0;
  const number = skipped ? elapsed + numbersSkipped(elapsed, rate, skipped) : elapsed;
  const seconds = Math.floor(number / rate);
  const fields = [Math.floor(seconds / 3600) % 24, Math.floor(seconds / 60) % 60, seconds % 60].map(two);
  return `${fields.join(':')}${skipped ? ';' : ':'}${two(number % rate)}`;
}

/** Drop-frame is made for the two broadcast rates that fall behind the clock: 29.97 and 59.94. */
export function isDropFrame(fps: number): boolean {
  return [30, 60].some((rate) => Math.abs(fps - (rate * 1000) / 1001) < 0.005);
}

function numbersSkipped(elapsed: number, rate: number, skipped: number): number {
  const perMinute = rate * 60 - skipped;
  const perTenMinutes = perMinute * 10 + skipped;
  const rest = elapsed % perTenMinutes;
  // The first minute of each ten is full, so it is longer than the nine others.
  const minutes = rest < rate * 60 ? 0 : 1 + Math.floor((rest - rate * 60) / perMinute);
  return skipped * (9 * Math.floor(elapsed / perTenMinutes) + minutes);
}

function two(number: number): string {
  return String(number).padStart(2, '0');
}
