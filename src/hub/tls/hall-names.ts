import { BlockList, isIP } from "node:net";
import { hostname, networkInterfaces } from "node:os";

/** Addresses that belong to no place on the Internet: loopback, private networks, link-local. */
export const privateRanges = [
  { address: "10.0.0.0", prefix: 8, family: "ipv4" },
  { address: "127.0.0.0", prefix: 8, family: "ipv4" },
  { address: "169.254.0.0", prefix: 16, family: "ipv4" },
  { address: "172.16.0.0", prefix: 12, family: "ipv4" },
  { address: "192.168.0.0", prefix: 16, family: "ipv4" },
  { address: "::1", prefix: 128, family: "ipv6" },
  { address: "fc00::", prefix: 7, family: "ipv6" },
  { address: "fe80::", prefix: 10, family: "ipv6" },
] as const;
/** Names that no name server of the Internet answers for (RFC 6761, RFC 6762). */
export const privateNames = ["local", "localhost"] as const;

const inside = new BlockList();
for (const { address, prefix, family } of privateRanges) inside.addSubnet(address, prefix, family);

/** Whether the hub's authority may vouch for an address or a name at all. */
export function isOfTheHall(name: string): boolean {
  const version = isIP(name);
  if (version !== 0) return inside.check(name, version === 4 ? "ipv4" : "ipv6");
  return privateNames.some((end) => name === end || name.endsWith(`.${end}`));
}

/**
 * Under which addresses and names a tablet may reach this machine over TLS now: its private addresses, its `.local` name,
 * further names that end so, and itself. Without link-local addresses of version 6, which no person types.
 */
export function hallNames(further: readonly string[] = []): string[] {
  const machine = hostname()
    .toLowerCase()
    .replace(/\.local$/, "");
  const addresses = Object.values(networkInterfaces())
    .flatMap((all) => all ?? [])
    .filter(({ internal, scopeid }) => !internal && !scopeid)
    .map(({ address }) => address);
  const names = [`${machine}.local`, ...further.map((name) => name.toLowerCase())];
  const all = ["localhost", "127.0.0.1", "::1", ...names, ...addresses];
  return [...new Set(all)].filter(isOfTheHall);
}
