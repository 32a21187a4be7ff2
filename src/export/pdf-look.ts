/** Sizes in PDF points, and the greys of the print. */
import { rgb } from '@cantoo/pdf-lib';

export const size = { text: 10.5, small: 8, number: 15, title: 17 };
export const lead = 1.32;
export const ink = rgb(0.08, 0.08, 0.08);
export const soft = rgb(0.32, 0.32, 0.32);
export const rule = rgb(0.66, 0.66, 0.66);
