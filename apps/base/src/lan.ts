import { type NetworkInterfaceInfo, networkInterfaces } from 'node:os';

type Interfaces = Readonly<Record<string, readonly NetworkInterfaceInfo[] | undefined>>;

/** This machine's addresses on local networks, IPv4: what people can type and codes can hold. */
export function lanAddresses(interfaces: Interfaces = networkInterfaces()): readonly string[] {
  return Object.values(interfaces).flatMap((addresses) =>
    (addresses ?? [])
      .filter(({ family, internal }) => family === 'IPv4' && !internal)
      .map(({ address }) => address),
  );
}

/** Whether a host to listen on means every address of this machine. */
export function isEverywhere(host: string): boolean {
  return host === '0.0.0.0' || host === '::';
}

/** Where other devices reach a base; none where it listens to this machine alone. */
export function reachableAt(
  host: string,
  port: number,
  isSecure: boolean,
  interfaces: Interfaces = networkInterfaces(),
): readonly string[] {
  const names = isEverywhere(host) ? lanAddresses(interfaces) : isLoopback(host) ? [] : [host];
  return names.map(
    (name) => `${isSecure ? 'https' : 'http'}://${name.includes(':') ? `[${name}]` : name}:${port}`,
  );
}

function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || host.startsWith('127.');
}
