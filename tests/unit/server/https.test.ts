// Expected values: RFC 5280 as Node's own TLS and certificate checks read it; 397 days from the design.
import { X509Certificate } from 'node:crypto';
import { rmSync, statSync, writeFileSync } from 'node:fs';
import { get } from 'node:https';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openAuthority } from '../../../src/server/https/authority.ts';
import { trustPage } from '../../../src/server/https/trust-page.ts';
import { listen } from '../../../src/server/listen.ts';
import { temporaryFolder } from '../../support/studio-server.ts';

const dayMs = 86_400_000;
const names = ['studio.local', 'localhost', '127.0.0.1', '::1'];

describe('the studio’s authority', () => {
  let folder: string;
  beforeEach(() => {
    folder = temporaryFolder();
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));
  const now = Date.now();

  test('is made once, its keys readable by this user only', async () => {
    const first = await openAuthority(folder, now);
    await first.leaf(names, now);
    const second = await openAuthority(folder, now + dayMs);
    expect(second.fingerprint).toBe(first.fingerprint);
    for (const key of ['authority.key.pem', 'leaf.key.pem']) {
      expect(statSync(join(folder, key)).mode & 0o777, key).toBe(0o600);
    }
    expect(new X509Certificate(first.certificate.toString('pem')).fingerprint256).toBe(first.fingerprint);
  });

  test('signs a leaf for all names and addresses, for servers, at most 397 days', async () => {
    const authority = await openAuthority(folder, now);
    const { cert } = await authority.leaf(names, now);
    const leaf = new X509Certificate(cert);
    const own = new X509Certificate(authority.certificate.toString('pem'));
    expect(leaf.checkIssued(own)).toBe(true);
    expect(leaf.verify(own.publicKey)).toBe(true);
    expect(own.ca).toBe(true);
    expect(leaf.ca).toBe(false);
    expect(leaf.checkHost('studio.local')).toBe('studio.local');
    expect(leaf.checkIP('127.0.0.1')).toBe('127.0.0.1');
    expect(leaf.checkIP('::1')).toBeDefined();
    expect(leaf.checkHost('elsewhere.local')).toBeUndefined();
    expect((Date.parse(leaf.validTo) - Date.parse(leaf.validFrom)) / dayMs).toBeLessThanOrEqual(397);
  });

  test('keeps a leaf while it holds, renews it a month before its end or for a new address', async () => {
    const authority = await openAuthority(folder, now);
    const serial = async (given: string[], at: number): Promise<[string, boolean]> => {
      const { cert, renewed } = await authority.leaf(given, at);
      return [new X509Certificate(cert).serialNumber, renewed];
    };
    const [first] = await serial(names, now);
    expect(await serial(names, now + 300 * dayMs)).toEqual([first, false]);
    const [second, renewed] = await serial(names, now + 370 * dayMs);
    expect([second === first, renewed]).toEqual([false, true]);
    const [third] = await serial([...names, '192.0.2.44'], now + 370 * dayMs);
    expect(third).not.toBe(second);
  });

  test('is not replaced when its file is damaged: tablets trust the old one', async () => {
    await openAuthority(folder, now);
    writeFileSync(join(folder, 'authority.pem'), 'damaged');
    await expect(openAuthority(folder, now)).rejects.toThrow(/Bring both back from a backup/);
  });

  test('a tablet that has its certificate from the page reaches the server by HTTPS', async () => {
    const authority = await openAuthority(folder, now);
    const tls = await authority.leaf(names, now);
    const main = await listen({
      handle: (_, response) => response.end('safe'),
      hosts: ['127.0.0.1'],
      port: 0,
      tls,
    });
    const page = await listen({
      handle: trustPage(authority, [`https://localhost:${main.port}`]),
      hosts: ['127.0.0.1'],
      port: 0,
    });
    const html = await (await fetch(`http://127.0.0.1:${page.port}/`)).text();
    expect(html).toContain(authority.fingerprint);
    expect(html).toMatch(/iPad[\s\S]*Certificate Trust Settings[\s\S]*Android[\s\S]*CA certificate/);
    const path = /href="(\/[^"]+\.crt)"/.exec(html)?.[1] ?? '';
    const response = await fetch(`http://127.0.0.1:${page.port}${path}`);
    expect(response.headers.get('content-type')).toBe('application/x-x509-ca-cert');
    const ca = new X509Certificate(Buffer.from(await response.arrayBuffer())).toString();
    const over = (options: object): Promise<string> =>
      new Promise((resolve, reject) => {
        get(`https://127.0.0.1:${main.port}/`, { agent: false, ...options }, (answer) => {
          answer.on('data', (piece) => resolve(String(piece)));
        }).on('error', reject);
      });
    expect(await over({ ca })).toBe('safe');
    await expect(over({})).rejects.toMatchObject({ code: 'SELF_SIGNED_CERT_IN_CHAIN' });
    expect((await fetch(`http://127.0.0.1:${page.port}/authority.key.pem`)).status).toBe(404);
    await Promise.all([main.close(), page.close()]);
  });
});
