/** What a host says about each file of the built app. The build writes it to `headers.json` beside the app. */

/**
 * No inline script, nothing from elsewhere. `blob:` pictures and media are our own decoded drawings and line
 * tests. `frame-ancestors` only counts as a header, so it is added there and not in the page's `meta`.
 */
export const PAGE_POLICY = [
  "default-src 'self'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self' blob: data:",
  "media-src 'self' blob:",
  "font-src 'self'",
  "connect-src 'self'",
  "worker-src 'self'",
  "object-src 'none'",
  "base-uri 'none'",
  "form-action 'self'",
].join('; ');

const TYPES: Readonly<Record<string, string>> = {
  html: 'text/html; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  css: 'text/css; charset=utf-8',
  json: 'application/json; charset=utf-8',
  webmanifest: 'application/manifest+json; charset=utf-8',
  map: 'application/json; charset=utf-8',
  csv: 'text/csv; charset=utf-8',
  md: 'text/markdown; charset=utf-8',
  svg: 'image/svg+xml',
  png: 'image/png',
  jpg: 'image/jpeg',
  webp: 'image/webp',
  tif: 'image/tiff',
  ttf: 'font/ttf',
  woff2: 'font/woff2',
  wasm: 'application/wasm',
};

/** `path` is relative to the app's root, with `/`. Files under `assets/` carry their content's hash in the name. */
export function headersOf(path: string): Record<string, string> {
  const extension = path.slice(path.lastIndexOf('.') + 1).toLowerCase();
  const headers: Record<string, string> = {
    'content-type': TYPES[extension] ?? 'application/octet-stream',
    'cache-control': path.startsWith('assets/') ? 'public, max-age=31536000, immutable' : 'no-cache',
    'x-content-type-options': 'nosniff',
  };
  if (extension === 'html') {
    headers['content-security-policy'] = `${PAGE_POLICY}; frame-ancestors 'none'`;
    headers['referrer-policy'] = 'no-referrer';
  }
  return headers;
}
