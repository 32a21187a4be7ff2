/** One frame as it will be written: the one the desk stands at. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { imageDataOf } from '../../export/image-data.ts';
import { lineTestStill } from '../../export/linetest/frames.ts';
import { type LineTestWish, planLineTest } from '../../export/linetest/plan.ts';
import type { Session } from '../session.ts';
import { sourceOf } from './make.ts';

/** Of the frame shown, px. */
const shownEdgePx = 1000;

interface StillFrameProps {
  readonly session: Session;
  readonly wish: Omit<LineTestWish, 'even'>;
}

export function StillFrame({ session, wish }: StillFrameProps): JSX.Element {
  const place = useRef<HTMLCanvasElement>(null);
  const { frame } = session.model.value;
  const shot = session.shot.value;
  const { way, underlay, level, numbers, frameNumbers, notes } = wish;
  const [width, height] = shot.sizePx;
  useEffect(() => {
    let gone = false;
    const longEdgePx = way === 'beside' ? shownEdgePx / 2 : shownEdgePx;
    const plan = planLineTest(shot, { ...wish, longEdgePx, even: false });
    lineTestStill(plan, Math.max(1, frame), sourceOf(session)).then(
      (picture) => {
        const canvas = place.current;
        if (gone || !canvas) return;
        canvas.width = picture.width;
        canvas.height = picture.height;
        canvas.getContext('2d')?.putImageData(imageDataOf(picture), 0, 0);
        canvas.dataset['painted'] = way;
      },
      () => undefined,
    );
    return () => {
      gone = true;
    };
    // Rows are made anew at every entry: how many there are tells enough of them here.
  }, [session, shot, frame, way, underlay, level, numbers, frameNumbers, notes.length]);
  return (
    <canvas
      ref={place}
      class="show-frame"
      role="img"
      aria-label={`Frame ${Math.max(1, frame)} as it will be`}
      style={{ aspectRatio: `${width * (way === 'beside' ? 2 : 1)} / ${height}` }}
    />
  );
}
