/** Under which names and addresses tablets can reach this machine. */
import { hostname, networkInterfaces } from 'node:os';

/** IPv4 addresses on the network, in the system's order. */
export function networkAddresses(): string[] {
  return Object.values(networkInterfaces())
    .flatMap((addresses) => addresses ?? [])
    .filter((address) => address.family === 'IPv4' && !address.internal)
    .map((address) => address.address);
}

/** The name by which multicast DNS finds this machine (RFC 6762); it outlives a change of address. */
export function localName(): string {
  return `${(hostname().split('.')[0] ?? 'localhost').toLowerCase()}.local`;
}

/** Everything the certificate must hold; names given by the user first. */
export function certificateNames(given: readonly string[]): string[] {
  return [
    ...new Set([
      ...given,
      localName(),
      hostname().toLowerCase(),
      'localhost',
      '127.0.0.1',
      '::1',
      ...networkAddresses(),
    ]),
  ];
}
