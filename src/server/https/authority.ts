/**
 * A certificate authority of the studio's own, and the leaf its server shows (RFC 5280). Tablets trust the
 * authority once; leaves are renewed under it, so the origin, and what tablets keep for it, never changes.
 */
import { randomBytes, type webcrypto } from 'node:crypto';
import { chmod, mkdir, readFile, rename, writeFile } from 'node:fs/promises';
import { isIP } from 'node:net';
import { hostname } from 'node:os';
import { join } from 'node:path';
// The library needs it before it is loaded.
import 'reflect-metadata';
import * as x509 from '@peculiar/x509';

const { crypto } = globalThis;
const algorithm = { name: 'ECDSA', namedCurve: 'P-256', hash: 'SHA-256' } as const;
const dayMs = 86_400_000;
/** Apple takes no leaf valid for longer than 398 days; the design asks for at most 397. */
const leafDays = 396;
const renewBeforeDays = 30;
const authorityDays = 3650;

interface Signed {
  readonly certificate: x509.X509Certificate;
  readonly keys: webcrypto.CryptoKeyPair;
}

export interface Authority {
  readonly certificate: x509.X509Certificate;
  /** Upper-case hex in pairs, as tablets show it. */
  readonly fingerprint: string;
  /**
   * PEM key and certificate for these names and addresses: the kept leaf while it holds them all and has a
   * month to go, else a new one.
   */
  leaf(names: readonly string[], nowMs: number): Promise<{ key: string; cert: string; renewed: boolean }>;
}

/** Opens the authority in `folder`, or makes it at the first start. Keys are readable by this user only. */
export async function openAuthority(folder: string, nowMs: number): Promise<Authority> {
  await mkdir(folder, { recursive: true, mode: 0o700 });
  const own = (await readSigned(folder, 'authority')) ?? (await makeAuthority(folder, nowMs));
  const thumbprint = Buffer.from(await own.certificate.getThumbprint('SHA-256', crypto));
  return {
    certificate: own.certificate,
    fingerprint: (thumbprint.toString('hex').toUpperCase().match(/../g) ?? []).join(':'),
    async leaf(names, now) {
      const kept = await readSigned(folder, 'leaf');
      const renewed = !kept || !holds(kept.certificate, names, now);
      if (renewed) await makeLeaf(folder, own, names, now);
      const [key, cert] = [await readText(folder, 'leaf.key.pem'), await readText(folder, 'leaf.pem')];
      return { key, cert: `${cert}\n${own.certificate.toString('pem')}\n`, renewed };
    },
  };
}

function holds(leaf: x509.X509Certificate, names: readonly string[], nowMs: number): boolean {
  const held = new Set(
    leaf.getExtension(x509.SubjectAlternativeNameExtension)?.names.items.map((name) => name.value),
  );
  const lasts =
    leaf.notAfter.getTime() - nowMs > renewBeforeDays * dayMs && leaf.notBefore.getTime() <= nowMs;
  return lasts && names.every((name) => held.has(name));
}

async function makeAuthority(folder: string, nowMs: number): Promise<Signed> {
  const keys = await crypto.subtle.generateKey(algorithm, true, ['sign', 'verify']);
  const certificate = await x509.X509CertificateGenerator.createSelfSigned(
    {
      serialNumber: serial(),
      name: [{ CN: [`Fairpeg studio on ${hostname()}`] }, { O: ['Fairpeg'] }],
      // A day back, for tablets whose clocks run late.
      notBefore: new Date(nowMs - dayMs),
      notAfter: new Date(nowMs + authorityDays * dayMs),
      signingAlgorithm: algorithm,
      keys,
      extensions: [
        new x509.BasicConstraintsExtension(true, 0, true),
        new x509.KeyUsagesExtension(x509.KeyUsageFlags.keyCertSign | x509.KeyUsageFlags.cRLSign, true),
        await x509.SubjectKeyIdentifierExtension.create(keys.publicKey, false, crypto),
      ],
    },
    crypto,
  );
  await keepSigned(folder, 'authority', { certificate, keys });
  return { certificate, keys };
}

async function makeLeaf(folder: string, own: Signed, names: readonly string[], nowMs: number): Promise<void> {
  const keys = await crypto.subtle.generateKey(algorithm, true, ['sign', 'verify']);
  const alternatives = names.map((value) => ({
    type: isIP(value) ? ('ip' as const) : ('dns' as const),
    value,
  }));
  const certificate = await x509.X509CertificateGenerator.create(
    {
      serialNumber: serial(),
      subject: [{ CN: [names[0] ?? 'localhost'] }],
      issuer: own.certificate.subject,
      notBefore: new Date(nowMs - dayMs),
      notAfter: new Date(nowMs + (leafDays - 1) * dayMs),
      signingAlgorithm: algorithm,
      publicKey: keys.publicKey,
      signingKey: own.keys.privateKey,
      extensions: [
        new x509.SubjectAlternativeNameExtension(alternatives, false),
        new x509.BasicConstraintsExtension(false, undefined, true),
        new x509.KeyUsagesExtension(x509.KeyUsageFlags.digitalSignature, true),
        new x509.ExtendedKeyUsageExtension([x509.ExtendedKeyUsage.serverAuth], false),
        await x509.AuthorityKeyIdentifierExtension.create(own.keys.publicKey, false, crypto),
        await x509.SubjectKeyIdentifierExtension.create(keys.publicKey, false, crypto),
      ],
    },
    crypto,
  );
  await keepSigned(folder, 'leaf', { certificate, keys });
}

/** Positive, 128 bits of chance. */
function serial(): string {
  return `01${randomBytes(15).toString('hex')}`;
}

/** The key first: a certificate without its key would be of no use. */
async function keepSigned(folder: string, name: string, { certificate, keys }: Signed): Promise<void> {
  const pkcs8 = await crypto.subtle.exportKey('pkcs8', keys.privateKey);
  await replace(join(folder, `${name}.key.pem`), x509.PemConverter.encode(pkcs8, 'PRIVATE KEY'), 0o600);
  await replace(join(folder, `${name}.pem`), certificate.toString('pem'), 0o644);
}

async function replace(file: string, text: string, mode: number): Promise<void> {
  await writeFile(`${file}.new`, `${text}\n`, { mode });
  await chmod(`${file}.new`, mode);
  await rename(`${file}.new`, file);
}

/** Undefined when there is none yet; a damaged one rejects, since replacing an authority would lock tablets out. */
async function readSigned(folder: string, name: string): Promise<Signed | undefined> {
  const pem = await readText(folder, `${name}.pem`).catch(() => undefined);
  if (pem === undefined) return undefined;
  try {
    const certificate = new x509.X509Certificate(pem);
    const pkcs8 = x509.PemConverter.decodeFirst(await readText(folder, `${name}.key.pem`));
    const privateKey = await crypto.subtle.importKey('pkcs8', pkcs8, algorithm, true, ['sign']);
    const publicKey = await certificate.publicKey.export(algorithm, ['verify'], crypto);
    return { certificate, keys: { privateKey, publicKey } };
  } catch (error) {
    throw new Error(
      `${join(folder, `${name}.pem`)} or its key cannot be read. Bring both back from a backup; moving them away makes new ones, which every tablet must trust again.`,
      { cause: error },
    );
  }
}

function readText(folder: string, name: string): Promise<string> {
  return readFile(join(folder, name), 'utf8');
}
