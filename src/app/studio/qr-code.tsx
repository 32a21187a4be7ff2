/** A QR code as one path, black on white with the quiet zone of four modules that the standard asks for. */
import type { JSX } from 'preact';
import { encode } from 'uqr';

const quietModules = 4;

export function QrCode({ text, label }: { text: string; label: string }): JSX.Element {
  const { data, size } = encode(text, { ecc: 'M', border: quietModules });
  const path = data
    .flatMap((row, y) => row.flatMap((dark, x) => (dark ? [`M${x} ${y}h1v1h-1z`] : [])))
    .join('');
  return (
    <svg
      class="qr"
      role="img"
      aria-label={label}
      viewBox={`0 0 ${size} ${size}`}
      shape-rendering="crispEdges"
    >
      <path d={`M0 0h${size}v${size}H0z`} fill="#ffffff" />
      <path d={path} fill="#000000" />
    </svg>
  );
}
