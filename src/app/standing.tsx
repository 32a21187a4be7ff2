/** A shot's key drawings, standing in a row. */
import type { JSX } from 'preact';
import { Mark } from '../desk/mark.tsx';
import type { Shelf } from '../shelf/types.ts';
import type { Shot } from '../shot/model.ts';
import { standingFor } from './shot-words.ts';
import { Thumb } from './thumb.tsx';

/** More than stand in a row on the widest tablet. */
const mostStanding = 9;

export function Standing({ shelf, shot }: { shelf: Pick<Shelf, 'picture'>; shot: Shot }): JSX.Element {
  const [width, height] = shot.sizePx;
  return (
    <span class="standing">
      {standingFor(shot, mostStanding).map(({ drawing, images }) => (
        <span key={drawing.label} class="standing-drawing">
          <Thumb
            id={images.map(({ sha256 }) => sha256).join(' ')}
            aspect={width / height}
            label={`Drawing ${drawing.label}`}
            load={() => Promise.all(images.map(({ sha256 }) => shelf.picture(sha256, 'thumb')))}
          />
          <Mark drawing={drawing} size={14} />
        </span>
      ))}
    </span>
  );
}
