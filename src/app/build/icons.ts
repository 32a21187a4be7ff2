/**
 * Draws the app's icons into `public/icons`: a fair copy on its pegs, over the searching strokes it was made
 * from. `npx tsx src/app/build/icons.ts`
 */
import { mkdirSync } from 'node:fs';
import { join, resolve } from 'node:path';
import sharp from 'sharp';

const OUT = resolve(import.meta.dirname, '../../../public/icons');

/** The look's own greys (`look.css`). */
const [PAPER, SURROUND, INK, PENCIL] = ['#ffffff', '#8e8e8e', '#141414', '#9a9a9a'];

/** On a 512 grid. The fair line is one closed shape, so that it tapers; the strokes under it miss it a little. */
const MARK = `
  <rect x="88" y="60" width="336" height="392" rx="10" fill="${PAPER}"/>
  <g fill="none" stroke="${PENCIL}" stroke-width="7" stroke-linecap="round">
    <path d="M152 300 C132 196 212 108 300 118 C352 124 380 164 366 206"/>
    <path d="M166 322 C138 214 190 118 290 126 C358 132 388 184 346 232"/>
    <path d="M176 290 C160 216 214 138 292 140"/>
    <path d="M372 186 C368 236 320 262 268 254"/>
  </g>
  <path fill="${INK}" d="M160 322 C126 214 194 112 292 118 C366 122 392 186 354 228 C330 254 292 260 258 246
    C296 252 326 244 342 218 C366 182 344 142 290 138 C206 132 148 220 164 321 C165 326 161 326 160 322 Z"/>
  <g fill="${SURROUND}">
    <rect x="124" y="386" width="76" height="26" rx="13"/>
    <circle cx="256" cy="399" r="19"/>
    <rect x="312" y="386" width="76" height="26" rx="13"/>
  </g>`;

/** `scale` leaves a margin for hosts that cut icons to a shape: all that counts lies in the middle 80 %. */
const icon = (scale: number): Buffer =>
  Buffer.from(
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 512 512"><rect width="512" height="512" fill="${SURROUND}"/>
     <g transform="translate(256 256) scale(${scale}) translate(-256 -256)">${MARK}</g></svg>`,
  );

mkdirSync(OUT, { recursive: true });
for (const [name, sizePx, scale] of [
  ['mark-180', 180, 1],
  ['mark-192', 192, 1],
  ['mark-512', 512, 1],
  ['mark-maskable-192', 192, 0.76],
  ['mark-maskable-512', 512, 0.76],
] as const) {
  await sharp(icon(scale), { density: 144 })
    .resize(sizePx, sizePx)
    .png({ compressionLevel: 9, palette: true })
    .toFile(join(OUT, `${name}.png`));
}
