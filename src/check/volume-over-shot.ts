import type { Box } from '../line/picture.ts';
import { isRefused } from '../line/refused.ts';
import type { Measured } from './measured.ts';

export interface VolumeOff {
  readonly one: Measured;
  readonly bbox: Box;
  /** Above (or below) what it should be, share. */
  readonly share: number;
  readonly against: string;
}

/** How far each drawing's volume is from its rough's. */
export function volumesOf(measured: readonly Measured[]): VolumeOff[] {
  return measured.flatMap((one): VolumeOff[] => {
    const { measures } = one;
    if (!measures || isRefused(measures.volume)) return [];
    const { againstRough } = measures.volume;
    if (typeof againstRough !== 'number') return [];
    return [{ one, bbox: measures.inkBox, share: againstRough - 1, against: "the rough's" }];
  });
}
