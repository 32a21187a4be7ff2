/** A plain-HTTP page that hands a tablet the authority's certificate, and says how to trust it. Nothing else. */
import { createHash } from 'node:crypto';
import type { RequestListener } from 'node:http';
import type { Authority } from './authority.ts';

const certificatePath = '/fairpeg-studio.crt';

const style =
  'body{font:1.1rem/1.5 system-ui,sans-serif;max-width:42rem;margin:2rem auto;padding:0 1rem;background:#e9e9e7;color:#1d1d1b}code{word-break:break-all}a{color:inherit}li{margin:.4rem 0}';
const styleHash = createHash('sha256').update(style).digest('base64');

/** `appUrls`: where the app is found once the tablet trusts it. */
export function trustPage(authority: Authority, appUrls: readonly string[]): RequestListener {
  const page = pageOf(authority.fingerprint, appUrls);
  const certificate = Buffer.from(authority.certificate.rawData);
  return (request, response) => {
    response.on('error', () => undefined);
    response.setHeader('x-content-type-options', 'nosniff').setHeader('cache-control', 'no-store');
    if (request.method !== 'GET' && request.method !== 'HEAD')
      response.writeHead(405, { allow: 'GET, HEAD' }).end();
    else if (request.url === '/') {
      const policy = `default-src 'none'; style-src 'sha256-${styleHash}'; frame-ancestors 'none'; base-uri 'none'`;
      response.setHeader('content-security-policy', policy);
      response.writeHead(200, { 'content-type': 'text/html; charset=utf-8' }).end(page);
    } else if (request.url === certificatePath) {
      response.writeHead(200, {
        'content-type': 'application/x-x509-ca-cert',
        'content-disposition': 'attachment; filename="fairpeg-studio.crt"',
      });
      response.end(certificate);
    } else response.writeHead(404).end();
  };
}

function pageOf(fingerprint: string, appUrls: readonly string[]): string {
  const links = appUrls.map((url) => `<li><a href="${escapeHtml(url)}">${escapeHtml(url)}</a></li>`).join('');
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Fairpeg: trust this studio</title><style>${style}</style></head><body>
<h1>Trust this studio’s server</h1>
<p>Fairpeg keeps drawings on your tablet only over a safe connection. For that the tablet must trust this studio’s
own certificate, once.</p>
<p>First compare: the studio’s screen shows this fingerprint (SHA-256). If it shows another, stop here.</p>
<p><code>${fingerprint}</code></p>
<h2>iPad</h2>
<ol>
<li>In Safari, <a href="${certificatePath}">load the certificate</a> and allow the download.</li>
<li>Settings → General → VPN &amp; Device Management → the downloaded profile → Install.</li>
<li>Settings → General → About → Certificate Trust Settings → switch on “Fairpeg studio”.</li>
</ol>
<h2>Android</h2>
<ol>
<li><a href="${certificatePath}">Load the certificate</a>.</li>
<li>Settings → Security → More (or Encryption &amp; credentials) → Install a certificate → CA certificate → choose the file.</li>
</ol>
<h2>Then</h2>
<p>Open the app, and put it on the home screen:</p>
<ul>${links}</ul>
<p>The certificate lets this studio’s server speak for any site to your tablet. Take it off again, in the same places,
when you leave the studio.</p>
</body></html>
`;
}

function escapeHtml(text: string): string {
  return text.replace(/[&<>"]/g, (sign) => `&#${sign.codePointAt(0)};`);
}
