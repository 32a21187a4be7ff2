/** `fairpeg serve`: the studio server, from the prompt to its last breath. */
import type { RequestListener } from 'node:http';
import { Server as SecureServer } from 'node:https';
import { join, resolve } from 'node:path';
import { renderUnicodeCompact } from 'uqr';
import type { Authority } from './https/authority.ts';
import { certificateNames, localName, networkAddresses } from './https/names.ts';
import { usualLimits } from './limits.ts';
import { type ConnectionLimits, type Listening, listen } from './listen.ts';
import { logTo } from './log.ts';
import { readServeOptions, type ServeOptions, serveHelp } from './options.ts';
import { ownerCode } from './passes.ts';
import type { ReadShot } from './read-folder-shot.ts';
import type { StudioStore } from './store/types.ts';
import { openStudio } from './studio.ts';

const root = resolve(import.meta.dirname, '../..');
const say = (line: string): void => void process.stdout.write(`${line}\n`);

const thisMachine = ['127.0.0.1', '::1'];
const everywhere = ['0.0.0.0', '::'];
const dayMs = 86_400_000;

/** Loaded with the first shot: the server answers sooner without its picture decoders. */
const readShot: ReadShot = async (path, options) =>
  (await import('../intake/node/read-shot.ts')).readShot(path, options);

/** Runs until it is told to stop. Resolves to the exit code. */
export async function serve(args: readonly string[]): Promise<number> {
  if (args.includes('--help')) {
    say(serveHelp);
    return 0;
  }
  const options = readServeOptions(args, root);
  const warn = logTo((text) => void process.stderr.write(text));
  const { behind, network } = options;
  const needsPass = network || behind !== undefined;
  let urls: readonly string[] = [];
  const studio = await openStudio({
    app: options.app,
    data: options.data,
    database: options.database,
    pictures: options.pictures,
    shots: { folder: options.shots, readShot },
    needsPass,
    secure: options.https || behind?.protocol === 'https:',
    behindProxy: behind !== undefined,
    urls: () => urls,
    limits: options.limits,
    metricsToken: options.metricsToken,
    log: warn,
  });
  const open = options.https ? openSecure : openPlain;
  const opened = await open(options, studio.handle, warn).catch(async (error: unknown) => {
    await studio.close();
    throw error;
  });
  urls = opened.urls;
  say(`Fairpeg is at ${urls.join(' and ')}`);
  if (needsPass) await sayHowToJoin(urls[0] as string, studio.store);
  await toldToStop();
  // First no one new, then those under way, the store last: what was acknowledged is committed.
  studio.stop();
  await Promise.all(opened.listening.map((each) => each.close()));
  await studio.close();
  return 0;
}

interface Opened {
  readonly listening: readonly Listening[];
  /** Where the app is found, the best address first. */
  readonly urls: readonly string[];
}

/** Behind a proxy all connections come from one address: there requests are counted by the address it tells. */
function connectionLimits({ behind, limits }: ServeOptions): ConnectionLimits {
  const all = { ...usualLimits, ...limits };
  return behind ? { ...all, connectionsPerAddress: all.connectionsInAll } : all;
}

type Log = (line: string) => void;

async function openPlain(options: ServeOptions, handle: RequestListener, warn: Log): Promise<Opened> {
  const { port, network, behind } = options;
  const listening = await listen({
    handle,
    hosts: network ? everywhere : thisMachine,
    port,
    limits: connectionLimits(options),
  });
  if (behind) return { listening: [listening], urls: [behind.origin] };
  if (!network) return { listening: [listening], urls: [`http://localhost:${listening.port}`] };
  warn('Over plain HTTP a tablet keeps nothing offline. Use --https, or --behind a proxy that has HTTPS.');
  const hosts = [...networkAddresses(), localName()];
  return { listening: [listening], urls: hosts.map((host) => `http://${host}:${listening.port}`) };
}

async function openSecure(options: ServeOptions, handle: RequestListener, warn: Log): Promise<Opened> {
  // Loaded when asked for: a start on one machine needs no certificates.
  const { openAuthority } = await import('./https/authority.ts');
  const { trustPage } = await import('./https/trust-page.ts');
  const authority = await openAuthority(join(options.data, 'https'), Date.now());
  const leaf = await authority.leaf(certificateNames(options.names), Date.now());
  const main = await listen({
    handle,
    hosts: everywhere,
    port: options.port,
    tls: leaf,
    limits: connectionLimits(options),
  });
  keepLeafFresh(authority, options.names, main, warn);
  // A name outlives a change of address, and the origin must never change.
  const urls = [...options.names, localName(), ...networkAddresses()].map(
    (host) => `https://${host}:${main.port}`,
  );
  const help = await listen({ handle: trustPage(authority, urls), hosts: everywhere, port: main.port + 1 });
  const helpUrls = [...networkAddresses(), localName()].map((host) => `http://${host}:${help.port}`);
  say(`Tablets that do not trust this studio yet start at ${helpUrls.join(' or ')}`);
  say(`The authority’s fingerprint (SHA-256): ${authority.fingerprint}`);
  return { listening: [main, help], urls };
}

/** Looks once a day: a leaf near its end, or a new address, brings a new leaf, without a restart. */
function keepLeafFresh(
  authority: Authority,
  names: readonly string[],
  { servers }: Listening,
  warn: Log,
): void {
  const look = async (): Promise<void> => {
    const leaf = await authority.leaf(certificateNames(names), Date.now());
    for (const server of servers)
      if (leaf.renewed && server instanceof SecureServer) server.setSecureContext(leaf);
  };
  const again = (): void =>
    void look().catch((error: unknown) => warn(`The certificate was not renewed: ${String(error)}`));
  setInterval(again, dayMs).unref();
}

async function sayHowToJoin(url: string, store: StudioStore): Promise<void> {
  if (!(await store.printsOwnerCode())) {
    say('The owner’s code is printed by the server of this house that was started first, until it is used.');
    return;
  }
  const code = await ownerCode(store, Date.now());
  if (code === undefined) return;
  const link = `${url}/#/join/${code}`;
  say(`\nThe owner joins with the code ${code}, or with this link (once, within a week):\n${link}\n`);
  say(renderUnicodeCompact(link));
  say('Further people: fairpeg passes add NAME --role artist (or director, assistant).');
}

function toldToStop(): Promise<void> {
  return new Promise((stop) => {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.once(signal, () => stop());
  });
}
